import { Fault } from '../domain/fault.js';

/** Exit statuses of every command. */
export const exitStatus = { fine: 0, failed: 1, badInput: 2 } as const;

/** Where a command prints; tests hand in their own. */
export interface Output {
  line(text: string): void;
  error(text: string): void;
}

export const terminal: Output = {
  line: (text) => void process.stdout.write(`${text}\n`),
  error: (text) => void process.stderr.write(`${text}\n`),
};

/** Bad use or bad input: one line, exit status 2. */
export class BadInput extends Error {}

/** Says what went wrong in one line and gives the exit status: 2 where input was bad, 1 where the work failed. */
export function reportFailure(out: Output, failure: unknown): number {
  if (failure instanceof BadInput) {
    out.error(oneLine(failure.message));
    return exitStatus.badInput;
  }
  if (failure instanceof Fault) {
    out.error(oneLine(failure.line));
    return failure.retry === 'later' ? exitStatus.failed : exitStatus.badInput;
  }
  out.error(oneLine(failure instanceof Error ? failure.message : String(failure)));
  return exitStatus.failed;
}

function oneLine(text: string): string {
  return text.replace(/\s*\n\s*/g, ' ');
}
