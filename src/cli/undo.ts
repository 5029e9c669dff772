import { voidRecord } from '../ledger/void-record.js';
import type { At } from './at.js';
import { withService } from './open-home.js';
import { exitStatus, type Output } from './output.js';

/** `shedbell undo RECORD`: the record is voided, never deleted, and its tasks are due as before. */
export function runUndo(at: At, record: string, out: Output): Promise<number> {
  return withService(at, (service) => {
    const answer = voidRecord(service.books, record, null);
    if (answer.kind === 'refused') {
      out.error(answer.fault.line);
      return exitStatus.badInput;
    }
    out.line(
      answer.kind === 'voided' ? `${record} is voided; its tasks are due as before.` : `${record} was voided before.`,
    );
    return exitStatus.fine;
  });
}
