import { dayMs, dayOf, hourMs } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { MachineOutlook } from '../domain/results/outlook.js';
import type { Books } from '../ledger/books.js';
import { leftBehind } from '../ledger/left-behind.js';
import { lettersInTrouble } from '../ledger/outbox.js';
import { type Problem, sayProblem } from '../words/problem.js';

/** A refused letter is told of for this long. */
const refusedForMs = 30 * dayMs;
/** A way out may fail for this long before it is worth a word. */
const waitingFromMs = 6 * hourMs;
/** A sensor that hangs on its machine's battery is silent while that stands; after this long somebody should look. */
const silentFromMs = 30 * dayMs;

/** Plain sentences about what the books and the outbox show to be wrong: letters that did not go out, sensors that fell silent,
 *  entries whose machine has no file any more. */
export function bookProblems(books: Books, machines: readonly MachineOutlook[]): readonly string[] {
  const home = books.home();
  const nowMs = books.clock.nowMs();
  const { zone, locale } = home.household;
  const problems = [...letterProblems(books, nowMs), ...feedProblems(home, machines, nowMs)];
  return [
    ...problems.map((problem) => sayProblem(problem, dayOf(nowMs, zone), locale)),
    ...leftBehind(books).map(
      ({ machine, entries }) =>
        `The books hold ${entries === 1 ? 'one entry' : `${entries} entries`} of “${machine}”, but there is no file machines/${machine}.yaml any more. If it was renamed, give the file its old name (the name inside may be any); if the machine is sold, put the file back with “gone: true”.`,
    ),
  ];
}

function letterProblems(books: Books, nowMs: number): Problem[] {
  const { people, zone } = books.home().household;
  const letters = lettersInTrouble(books, nowMs - refusedForMs).flatMap((letter) => {
    const person = people.find((one) => one.id === letter.to);
    return person === undefined
      ? []
      : [{ ...letter, name: person.name, reason: letter.lastWord ?? 'no reason was given' }];
  });
  const refused = letters.filter((letter) => letter.state === 'refused').slice(-3);
  const waiting = letters.filter((letter) => letter.state === 'pending' && letter.writtenAtMs < nowMs - waitingFromMs);
  const [oldest] = waiting;
  return [
    ...refused.map(
      ({ name, letter, reason }): Problem => ({ kind: 'letter-refused', to: name, subject: letter.subject, reason }),
    ),
    ...(oldest === undefined
      ? []
      : [
          {
            kind: 'letters-waiting' as const,
            count: waiting.length,
            since: dayOf(oldest.writtenAtMs, zone),
            reason: waiting.at(-1)?.reason ?? oldest.reason,
          },
        ]),
  ];
}

function feedProblems({ household, machines }: Home, outlooks: readonly MachineOutlook[], nowMs: number): Problem[] {
  const today = dayOf(nowMs, household.zone);
  return machines.flatMap((machine): Problem[] => {
    const { resting } = machine;
    const rests =
      resting !== undefined && resting.from <= today && (resting.until === undefined || resting.until >= today);
    if (machine.feed === undefined || machine.gone || rests) return [];
    const heardMs = outlooks.find((one) => one.machine === machine.id)?.feed?.lastAtMs ?? null;
    if (heardMs !== null && nowMs - heardMs < silentFromMs) return [];
    const since = heardMs === null ? null : dayOf(heardMs, household.zone);
    return [{ kind: 'feed-silent', machine: machine.name, since }];
  });
}
