import { Fault } from '../domain/fault.js';

/** Exit statuses of every command. */
export const exitStatus = { fine: 0, failed: 1, badInput: 2 } as const;

/** Where a command prints; tests hand in their own. */
export interface Output {
  line(text: string): void;
  error(text: string): void;
}

/** Standard output and standard error. A reader who closed the pipe (`| head -1`) is no fault: the command finishes what it
 *  does in silence. Where the output could not be written for another reason, such as a full disk, the exit status is 1. */
export function openTerminal(): Output {
  process.stdout.on('error', (cause: NodeJS.ErrnoException) => {
    if (cause.code === 'EPIPE') return;
    process.stderr.write(`The output could not be written (${cause.code ?? cause.message}).\n`);
    process.once('exit', (status) => {
      if (status === exitStatus.fine) process.exitCode = exitStatus.failed;
    });
  });
  process.stderr.on('error', () => {});
  return {
    line: (text) => void process.stdout.write(`${text}\n`),
    error: (text) => void process.stderr.write(`${text}\n`),
  };
}

/** Errors on one line each, whatever a file or an argument that they quote holds: no line breaks, nothing that moves a cursor. */
export function oneLineErrors(out: Output): Output {
  return { line: (text) => out.line(text), error: (text) => out.error(oneLine(text)) };
}

/** Bad use or bad input: one line, exit status 2. */
export class BadInput extends Error {}

/** Says what went wrong in one line and gives the exit status: 2 where input was bad, 1 where the work failed. */
export function reportFailure(out: Output, failure: unknown): number {
  if (failure instanceof BadInput) {
    out.error(failure.message);
    return exitStatus.badInput;
  }
  if (failure instanceof Fault) {
    out.error(failure.line);
    return failure.retry === 'later' ? exitStatus.failed : exitStatus.badInput;
  }
  out.error(failure instanceof Error ? failure.message : String(failure));
  return exitStatus.failed;
}

function oneLine(text: string): string {
  return text.replace(/\s*[\p{Cc}\u2028\u2029]+\s*/gu, ' ').trim();
}

/** Prints as JSON or as lines, whichever was asked for. */
export function print(out: Output, json: boolean, document: unknown, lines: readonly string[]): void {
  if (json) out.line(JSON.stringify(document));
  else for (const line of lines) out.line(line);
}
