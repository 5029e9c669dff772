import { type Day, dayOf, daysBetween } from '../domain/day.js';
import type { Answer } from '../domain/facts.js';
import { addAnswer, givenAnswersOf } from '../store/facts/answers.js';
import { type Books, machineCalled } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

/** "Ask me on" further ahead than this was a slip of the year. */
const furthestAskDays = 3 * 366;

/** Enters what a person answered to a notice or on a page; the same answer right after itself is one. */
export function enterAnswer(
  books: Books,
  machineId: string,
  answer: Answer,
  by: string | null,
): { readonly kind: 'entered' | 'already'; readonly id: string } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const machine = machineCalled(books, machineId);
      if (answer.tasks.length === 0) {
        throw refusal('no-tasks', 'The answer names no task', { remedy: 'Tick at least one.' });
      }
      const unknown = answer.tasks.find((id) => !machine.tasks.some((task) => task.id === id));
      if (unknown !== undefined) {
        throw refusal('task-unknown', `${machine.name} has no such task`, { found: JSON.stringify(unknown) });
      }
      const today = dayOf(books.clock.nowMs(), books.home().household.zone);
      checkDay(answer, today);
      const last = givenAnswersOf(store, machineId).findLast((given) => given.takenBackAtMs === null);
      if (last !== undefined && sameAnswer(last.answer, answer)) return { kind: 'already' as const, id: last.id };
      const id = addAnswer(store, machineId, { ...answer, atMs: Math.floor(answer.atMs) }, by);
      return { kind: 'entered' as const, id };
    }),
  );
}

function checkDay(answer: Answer, today: Day): void {
  if (answer.kind === 'ask-on' && (answer.day < today || daysBetween(today, answer.day) > furthestAskDays)) {
    throw refusal('day-out-of-range', 'That is no day to be asked on', {
      found: answer.day,
      remedy: `Write a day from ${today} on, at most three years ahead.`,
    });
  }
  if (answer.kind === 'leave-out') {
    if (answer.day > today) {
      throw refusal('day-in-future', 'That day has not come yet', {
        found: answer.day,
        remedy: 'Write today or earlier.',
      });
    }
    if (answer.hours !== null && !(Number.isFinite(answer.hours) && answer.hours >= 0)) {
      throw refusal('hours-unreadable', 'These are no meter hours', { found: String(answer.hours) });
    }
  }
}

function sameAnswer(a: Answer, b: Answer): boolean {
  const plain = (answer: Answer) => JSON.stringify({ ...answer, tasks: [...answer.tasks].sort(), atMs: 0 });
  const keysInOrder = (text: string) => JSON.stringify(Object.entries(JSON.parse(text)).sort());
  return keysInOrder(plain(a)) === keysInOrder(plain(b));
}
