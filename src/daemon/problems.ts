import { dayMs, dayOf, hourMs, timeOfDayAt } from '../domain/day.js';
import { mailIll } from '../domain/ill.js';
import type { Machine } from '../domain/machine.js';
import type { MachineOutlook } from '../domain/results/outlook.js';
import type { Books } from '../ledger/books.js';
import { leftBehind } from '../ledger/left-behind.js';
import { lettersInTrouble } from '../ledger/outbox.js';
import { type Problem, sayProblem } from '../words/problem.js';
import type { Symptom } from './ills.js';

/** Why something that a machine's sensor said was not counted, and when it came, UTC milliseconds; null where all was. */
type Refused = (machine: string) => { readonly reason: string; readonly atMs: number } | null;

/** A refused letter is told of for this long. */
const refusedForMs = 30 * dayMs;
/** A way out may fail for this long before it is worth a word. */
const waitingFromMs = 6 * hourMs;
/** A sensor that hangs on its machine's battery is silent while that stands; after this long somebody should look. */
const silentFromMs = 30 * dayMs;

/** Plain sentences about what the books and the outbox show to be wrong: letters that did not go out, sensors that fell silent
 *  or said what cannot be right, entries whose machine has no file any more.
 *  @param refused  why something that a machine's sensor said was not counted; null where all was */
export function bookProblems(
  books: Books,
  machines: readonly MachineOutlook[],
  refused: Refused = () => null,
): readonly string[] {
  const nowMs = books.clock.nowMs();
  const { zone, locale } = books.home().household;
  return [
    ...letterProblems(books, nowMs).map((problem) => sayProblem(problem, dayOf(nowMs, zone), locale)),
    ...books
      .home()
      .machines.flatMap((machine) =>
        sensorProblems(books, machine, machines.find((one) => one.machine === machine.id) ?? null, refused),
      ),
    ...leftBehind(books).map(
      ({ machine, entries }) =>
        `The books hold ${entries === 1 ? 'one entry' : `${entries} entries`} of “${machine}”, but there is no file machines/${machine}.yaml any more. If it was renamed, give the file its old name (the name inside may be any); if the machine is sold, put the file back with “gone: true”.`,
    ),
  ];
}

/** What of it is worth a notice of its own: letters that do not get through, and sensors that a machine relies on. */
export function bookSymptoms(
  books: Books,
  machines: readonly MachineOutlook[],
  refused: Refused = () => null,
): readonly Symptom[] {
  const nowMs = books.clock.nowMs();
  const { zone, locale } = books.home().household;
  const [mail] = letterProblems(books, nowMs).map((problem) => sayProblem(problem, dayOf(nowMs, zone), locale));
  return [
    ...(mail === undefined ? [] : [{ key: mailIll, sentence: mail }]),
    ...books.home().machines.flatMap((machine) => {
      const ahead = machines.find((one) => one.machine === machine.id) ?? null;
      const [sentence] = sensorProblems(books, machine, ahead, refused);
      return sentence === undefined ? [] : [{ key: `sensor ${machine.id}`, sentence }];
    }),
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

/** What is wrong with one machine, for whoever shows its state: its sensor, a reading that waits for an answer, a season word that
 *  the readings contradict. */
export function machineProblems(books: Books, ahead: MachineOutlook, refused: Refused): readonly string[] {
  const machine = books.home().machines.find((one) => one.id === ahead.machine);
  if (machine === undefined) return [];
  return [
    ...sensorProblems(books, machine, ahead, refused),
    ...ahead.aside.map((aside) => aside.question),
    ...(ahead.doubt === null ? [] : [ahead.doubt]),
  ];
}

function sensorProblems(
  books: Books,
  machine: Machine,
  ahead: MachineOutlook | null,
  refused: Refused,
): readonly string[] {
  const nowMs = books.clock.nowMs();
  const { zone, locale } = books.home().household;
  const today = dayOf(nowMs, zone);
  if (machine.feed === undefined || machine.gone) return [];
  const problems: Problem[] = [];
  const newest = refused(machine.id);
  if (newest !== null) {
    const { reason, atMs } = newest;
    const came = { day: dayOf(atMs, zone), time: timeOfDayAt(atMs, zone) };
    problems.push({ kind: 'feed-refused', machine: machine.name, reason, came });
  }
  const { resting } = machine;
  const rests =
    resting !== undefined && resting.from <= today && (resting.until === undefined || resting.until >= today);
  const heardMs = ahead?.feed?.lastAtMs ?? null;
  if (!rests && (heardMs === null || nowMs - heardMs >= silentFromMs)) {
    const since = heardMs === null ? null : dayOf(heardMs, zone);
    problems.push({ kind: 'feed-silent', machine: machine.name, since });
  }
  return problems.map((problem) => sayProblem(problem, today, locale));
}
