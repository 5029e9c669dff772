import { Fault } from '../domain/fault.js';
import { enterAnswer } from '../ledger/answer.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import type { Form } from './guard/form.js';
import type { SeenVisit } from './seen-visit.js';

/** An answer other than "done".
 *  @returns its id, or what was wrong with it */
export function takeAnswer(
  given: Given,
  form: Form,
  seen: Extract<SeenVisit, { kind: 'planned' }>,
  person: string,
): { readonly answer: string } | Fault {
  const { visit, shown } = seen;
  const atMs = given.books.clock.nowMs();
  // What the person saw, not what the visit has become since.
  const tasks = form.all('task');
  switch (form.text('go')) {
    case 'ask-on': {
      let day: ReturnType<Form['day']>;
      try {
        day = form.day('askOn');
      } catch (failure) {
        if (failure instanceof Fault) return failure;
        throw failure;
      }
      if (day === null || day <= shown.outlook.today) {
        return pageFault({
          code: 'day-missing',
          message: 'The day to ask again must lie ahead',
          remedy: 'Choose tomorrow or a later day.',
        });
      }
      return answered(enterAnswer(given.books, visit.machine, { kind: 'ask-on', tasks, day, atMs }, person));
    }
    case 'leave-out': {
      const hours = shown.ahead?.hoursNow?.p50 ?? null;
      const answer = { kind: 'leave-out', tasks, day: shown.outlook.today, hours, atMs } as const;
      return answered(enterAnswer(given.books, visit.machine, answer, person));
    }
    case 'have-parts':
      return answered(enterAnswer(given.books, visit.machine, { kind: 'have-parts', tasks, atMs }, person));
    case 'own-visit':
      return answered(enterAnswer(given.books, visit.machine, { kind: 'own-visit', tasks, atMs }, person));
    default:
      return pageFault({
        code: 'form-unreadable',
        message: 'This form could not be read',
        remedy: 'Press one of its buttons.',
      });
  }
}

function answered(outcome: ReturnType<typeof enterAnswer>): { readonly answer: string } | Fault {
  return outcome.kind === 'refused' ? outcome.fault : { answer: outcome.id };
}
