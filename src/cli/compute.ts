import { answerLines, type Kind } from './compute-lines.js';

/** What can be computed; each loads its own code and nothing else. */
const kinds = {
  forecast: async () => run((await import('./compute-forecast.js')).forecastKind),
  order: async () => run((await import('./compute-order.js')).orderKind),
  grouping: async () => run((await import('./compute-grouping.js')).groupingKind),
  inspection: async () => run((await import('./compute-inspection.js')).inspectionKind),
} as const;

/** The words that stand behind `shedbell compute`. */
export const computeWords: readonly string[] = Object.keys(kinds);

/** `shedbell compute WHAT`: JSON Lines in, JSON Lines out. Waits for a slow reader, and ends with one who left.
 *  @returns  the exit status; null where there is nothing of that name */
export async function runCompute(what: string): Promise<number | null> {
  const kind = Object.entries(kinds).find(([name]) => name === what);
  return kind === undefined ? null : await kind[1]();
}

function run<T extends { readonly id: string | number }>(kind: Kind<T>): Promise<number> {
  const { stdin, stdout } = process;
  let isHeard = true;
  stdout.once('error', () => {
    isHeard = false;
  });
  stdin.setEncoding('utf8');
  return answerLines(kind, stdin, async (line) => {
    if (isHeard && !stdout.write(`${line}\n`)) await eitherOf(stdout, ['drain', 'error']);
    return isHeard;
  });
}

function eitherOf(stream: NodeJS.WriteStream, events: readonly string[]): Promise<void> {
  return new Promise((done) => {
    const settle = () => {
      for (const event of events) stream.off(event, settle);
      done();
    };
    for (const event of events) stream.on(event, settle);
  });
}
