import { type Day, dayMs, dayOf, hourMs } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Visit } from '../domain/results/visit.js';
import { answersOf } from '../store/facts/answers.js';
import { noticesIn } from '../store/facts/notices.js';
import { endUnsent, pendingLetters } from '../store/facts/outbox.js';
import { readingsOf } from '../store/facts/readings.js';
import { isSettled } from './announce.js';
import type { Books } from './books.js';

/** A letter stamped later than this ahead was written under a clock that ran ahead. */
const allowedAheadMs = dayMs;

/** A letter that was just written says what is true. */
const soonMs = hourMs;

type Said = SentNotice & { readonly machine: string | null };

/** Withdraws letters that wait while what they say ceased to be true: the work was done or moved on, its day is over, the meter was read,
 *  the trouble is over.
 *  What they said counts as not said then, so that the next look says what is true by then. A letter that may have gone out already
 *  is left alone.
 *  @param outlook  asked for only where a letter waits
 *  @param ailing   keys of what is wrong with the service now; null: nobody looked yet, and no word of trouble is withdrawn
 *  @returns how many were withdrawn */
export function withdrawUntrue(
  books: Books,
  outlook: () => Outlook,
  ailing: ReadonlySet<string> | null = null,
): number {
  const { store } = books;
  const nowMs = books.clock.nowMs();
  const held = () =>
    pendingLetters(store).filter((letter) => letter.attempts > 0 || Math.abs(nowMs - letter.writtenAtMs) >= soonMs);
  if (held().length === 0) return 0;
  const { visits } = outlook();
  const untrue = () =>
    held().flatMap((letter) => {
      const why =
        letter.writtenAtMs > nowMs + allowedAheadMs
          ? 'the clock ran ahead when it was written'
          : noticesIn(store, letter.copyOf ?? letter.id).flatMap(
              (said) => whyUntrue(books, visits, ailing, said) ?? [],
            )[0];
      return why === undefined ? [] : [{ id: letter.id, why }];
    });
  if (untrue().length === 0) return 0;
  return store.write(() => {
    const letters = untrue();
    for (const { id, why } of letters) endUnsent(store, id, 'withdrawn', why);
    return letters.length;
  });
}

/** Why a notice must not go out any more, as a sentence goes on after a colon; null while it may. */
function whyUntrue(
  books: Books,
  visits: readonly Visit[],
  ailing: ReadonlySet<string> | null,
  said: Said,
): string | null {
  const { machine: id, kind, visit, proposedDay, tasks } = said;
  const today = dayOf(books.clock.nowMs(), books.home().household.zone);
  if (kind === 'trouble' && ailing !== null && tasks.length > 0 && !tasks.some((key) => ailing.has(key))) {
    return 'the trouble was over before it could go out';
  }
  if (id === null) return null;
  const machine = books.home().machines.find((one) => one.id === id);
  if (machine === undefined || machine.gone) return 'the machine is no longer there';
  if (isSettled(books, visit)) return 'the work was confirmed or left out meanwhile';
  if (kind === 'reading') {
    const readings = readingsOf(books.store, [id]).get(id) ?? [];
    if (readings.some((reading) => reading.atMs > said.atMs)) return 'the meter was read meanwhile';
  }
  if (proposedDay === null) return null;
  if (proposedDay < today) return 'its day passed before it could go out';
  if (askedLater(books, said, today)) return 'somebody asked to be told later';
  const planned = visits.find((one) => one.id === visit);
  const isCall = kind !== 'reading' && kind !== 'parts';
  return isCall && planned !== undefined && planned.day > proposedDay ? 'the work moved to a later day' : null;
}

function askedLater({ store }: Books, { machine, tasks, atMs }: Said, today: Day): boolean {
  return (answersOf(store, machine === null ? [] : [machine]).get(machine ?? '') ?? []).some(
    (answer) =>
      answer.kind === 'ask-on' &&
      answer.atMs > atMs &&
      answer.day > today &&
      answer.tasks.some((task) => tasks.includes(task)),
  );
}
