import { computeForecastLines } from './compute-forecast.js';

/** `shedbell compute forecast`: JSON Lines in, JSON Lines out. Waits for a slow reader, and ends with one who left. */
export function runComputeForecast(): Promise<number> {
  const { stdin, stdout } = process;
  let isHeard = true;
  stdout.once('error', () => {
    isHeard = false;
  });
  stdin.setEncoding('utf8');
  return computeForecastLines(stdin, async (line) => {
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
