import type { RequestHandler } from 'express';
import { Fault } from '../domain/fault.js';
import { enterAnswer } from '../ledger/answer.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import type { Form } from './guard/form.js';
import { sendPage } from './layout.js';
import type { SeenVisit } from './seen-visit.js';
import { Sorry } from './trouble.js';

/** An answer other than "done".
 *  @returns which one, or what was wrong with it */
export function takeAnswer(
  given: Given,
  form: Form,
  seen: Extract<SeenVisit, { kind: 'planned' }>,
  person: string,
): 'ask-on' | 'leave-out' | 'have-parts' | Fault {
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
      return answered('ask-on', enterAnswer(given.books, visit.machine, { kind: 'ask-on', tasks, day, atMs }, person));
    }
    case 'leave-out': {
      const hours = shown.ahead?.hoursNow?.p50 ?? null;
      const answer = { kind: 'leave-out', tasks, day: shown.outlook.today, hours, atMs } as const;
      return answered('leave-out', enterAnswer(given.books, visit.machine, answer, person));
    }
    case 'have-parts':
      return answered(
        'have-parts',
        enterAnswer(given.books, visit.machine, { kind: 'have-parts', tasks, atMs }, person),
      );
    default:
      return pageFault({
        code: 'form-unreadable',
        message: 'This form could not be read',
        remedy: 'Press one of its buttons.',
      });
  }
}

function answered<T>(what: T, outcome: ReturnType<typeof enterAnswer>): T | Fault {
  return outcome.kind === 'refused' ? outcome.fault : what;
}

/** The page after an answer. */
export function answeredPage(assets: Assets): RequestHandler<{ what: string }> {
  const said: Readonly<Record<string, string>> = {
    'ask-on': 'Nothing will be said about it before that day.',
    'leave-out': 'It is left out this time, and its interval starts anew.',
    'have-parts': 'What it needs counts as being at home.',
  };
  return (request, response, next) => {
    const { what } = request.params;
    const sentence = Object.hasOwn(said, what) ? said[what] : undefined;
    if (sentence === undefined) return next();
    sendPage(response, 200, <Sorry assets={assets} heading="That is written down." sentences={[sentence]} />);
  };
}
