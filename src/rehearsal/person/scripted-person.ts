import { addDays, type Day, dayOf, instantOf, laterDay, parseTimeOfDay, weekdayOf } from '../../domain/day.js';
import type { MachineFacts, SentNotice } from '../../domain/facts.js';
import type { NoticeKind } from '../../domain/household.js';
import type { Random } from '../../domain/outside.js';
import type { Visit } from '../../domain/results/visit.js';
import type { Books } from '../../ledger/books.js';
import { confirmVisit } from '../../ledger/confirm-visit.js';
import { enterReading } from '../../ledger/enter-reading.js';
import { gather } from '../../ledger/gather.js';
import type { Diary } from '../diary.js';
import type { Errands } from '../errands.js';
import { seededRandom, seedFor } from '../random.js';
import type { TrueHours } from '../truth/true-hours.js';
import { limitsSinceDone, shareLeft, type TaskLimits } from '../truth/true-limits.js';
import { type PersonHabits, tooEarlyShare } from './habits.js';

const mealtime = parseTimeOfDay('18:00');
const workTime = parseTimeOfDay('10:00');

/** What the person holds in hand: a notice, and the visit as its letter describes it. */
export interface HeardLetter {
  readonly machine: string;
  readonly notice: SentNotice;
  /** Null where the notice speaks of none. */
  readonly visit: Visit | null;
}

/** A person who knows only what messages say: answers, buys and works by their habits.
 *  @returns what they do when they get a notice */
export function scriptedPerson(input: {
  readonly books: Books;
  readonly truth: ReadonlyMap<string, TrueHours>;
  readonly habits: PersonHabits;
  /** Kinds of notice that make them go to work. */
  readonly heeds: readonly NoticeKind[];
  readonly errands: Errands;
  readonly diary: Diary;
}): (letter: HeardLetter) => void {
  const { books, truth, habits, heeds, errands, diary } = input;
  const { zone } = books.home().household;
  const nowMs = () => books.clock.nowMs();
  const today = () => dayOf(nowMs(), zone);
  const chance = (purpose: string) => seededRandom(seedFor(habits.seed, purpose));
  const random = { answers: chance('answers'), work: chance('work'), parts: chance('parts') };
  /** By machine and task, since it was last done: when what was bought is here, and the last `parts` notice before that. */
  const arrival = new Map<string, Day>();
  const partsHeard = new Map<string, Day>();
  const doneAtMs = new Map<string, number>();
  /** By visit: the newest letter that called to it, and the last walk to the machine for it. */
  const called = new Map<string, HeardLetter>();
  const wentAtMs = new Map<string, number>();

  /** Reads the meter and enters it; null where the machine has none. */
  const readMeter = (machine: string): number | null => {
    const meter = books.home().machines.find((m) => m.id === machine)?.meter;
    const trueHours = truth.get(machine);
    if (meter?.kind !== 'meter' || trueHours === undefined) return null;
    const hours = trueHours.shows(nowMs());
    const entry = enterReading(books, {
      machine,
      hours,
      atMs: nowMs(),
      by: null,
      door: 'rehearsal',
      confirm: true,
      key: null,
    });
    if (entry.kind === 'counted') diary.readings += 1;
    return hours;
  };

  const lackingIn = (visit: Visit) =>
    new Set(tasksMissing(visit).filter((task) => !arrival.has(`${visit.machine} ${task}`)));

  /** Buys what was not bought before; it is here after its lead days. */
  const buy = (visit: Visit) => {
    const lacking = lackingIn(visit);
    for (const item of missingIn(visit)) {
      const here = addDays(today(), Math.ceil(item.leadDays));
      for (const task of item.tasks.filter((each) => lacking.has(each))) {
        const key = `${visit.machine} ${task}`;
        arrival.set(key, laterDay(arrival.get(key) ?? here, here));
      }
    }
  };

  const hearParts = (visit: Visit) => {
    // A notice that names again what was bought since the last one tells them nothing.
    const lacking = lackingIn(visit);
    for (const task of lacking) partsHeard.set(`${visit.machine} ${task}`, today());
    if (lacking.size > 0 && random.parts() < habits.buysParts) buy(visit);
  };

  const goToWork = (id: string) => {
    const letter = called.get(id);
    const visit = letter?.visit;
    if (letter === undefined || visit === null || visit === undefined) return;
    if ((wentAtMs.get(id) ?? 0) > letter.notice.atMs) return;
    const { machine } = visit;
    const left = letter.notice.tasks.filter((task) => (doneAtMs.get(`${machine} ${task}`) ?? 0) <= letter.notice.atMs);
    if (left.length === 0) return;
    const here = left
      .map((task) => arrival.get(`${machine} ${task}`) ?? today())
      .reduce((latest, day) => laterDay(latest, day), today());
    if (here > today()) {
      errands.plan({ atMs: instantOf(workingDayFrom(here, habits), workTime, zone), run: () => goToWork(id) });
      return;
    }
    wentAtMs.set(id, nowMs());
    const facts = gather(books).machines.find((m) => m.machine === machine);
    const limits = new Map(left.map((task) => [task, limitsOf(machine, task, facts)] as const));
    const hours = readMeter(machine);
    const shares = [...limits.values()]
      .map((each) => (each === null ? null : shareLeft(each, hours, today())))
      .filter((share) => share !== null);
    // Without a meter there is nothing to see at the machine that the letter did not know.
    const isTooEarly = hours !== null && shares.length > 0 && Math.min(...shares) > tooEarlyShare;
    if (visit.kind === 'service' && isTooEarly) {
      diary.wastedTrips.set(machine, (diary.wastedTrips.get(machine) ?? 0) + 1);
      return;
    }
    confirm(visit, letter.notice, left, hours, limits);
  };

  const limitsOf = (machine: string, task: string, facts: MachineFacts | undefined): TaskLimits | null => {
    const { household, machines } = books.home();
    const owner = machines.find((m) => m.id === machine);
    const planned = owner?.tasks.find((t) => t.id === task);
    if (owner === undefined || planned === undefined) return null;
    return limitsSinceDone(owner, planned, facts, household, truth.get(machine) ?? null);
  };

  const confirm = (
    visit: Visit,
    notice: SentNotice,
    tasks: readonly string[],
    hours: number | null,
    limits: ReadonlyMap<string, TaskLimits | null>,
  ) => {
    const { machine } = visit;
    const confirmation = confirmVisit(books, {
      visit: { id: visit.id, machine, tasks: notice.tasks },
      tasks,
      day: today(),
      hours,
      by: notice.to,
      door: 'rehearsal',
      note: null,
      minutes: visit.minutes,
      findings: [],
      key: null,
    });
    if (confirmation.kind !== 'recorded') return;
    for (const task of confirmation.record.tasks) {
      const key = `${machine} ${task}`;
      const due = limits.get(task) ?? null;
      const isMissing = tasksMissing(visit).includes(task);
      if (due !== null) {
        diary.services.push({
          machine,
          task,
          doneOn: today(),
          trueHours: truth.get(machine)?.at(nowMs()) ?? hours ?? 0,
          pulledForward: visit.pulledForward.includes(task),
          partsNoticeOn: partsHeard.get(key) ?? (isMissing ? today() : null),
          limits: due,
        });
      }
      doneAtMs.set(key, nowMs());
      partsHeard.delete(key);
      arrival.delete(key);
    }
  };

  return (letter) => {
    const { machine, notice, visit } = letter;
    if (notice.kind === 'reading') {
      if (random.answers() >= habits.answersReading) return;
      const answerOn = addDays(today(), between(habits.delayDays, random.answers));
      errands.plan({ atMs: instantOf(answerOn, mealtime, zone), run: () => void readMeter(machine) });
      return;
    }
    if (visit === null) return;
    if (notice.kind === 'parts') hearParts(visit);
    if (!heeds.includes(notice.kind)) return;
    // What a `parts` notice did not move the person to buy, they buy when they hear of the work itself.
    buy(visit);
    called.set(visit.id, letter);
    const proposed = laterDay(notice.proposedDay ?? today(), addDays(today(), 1));
    const first = workingDayFrom(proposed, habits);
    const day = random.work() < habits.doesWork ? first : workingDayFrom(addDays(first, 7), habits);
    errands.plan({ atMs: instantOf(day, workTime, zone), run: () => goToWork(visit.id) });
  };
}

function missingIn(visit: Visit) {
  return visit.shopping.filter((item) => item.toBuy > 0);
}

function tasksMissing(visit: Visit): string[] {
  return missingIn(visit).flatMap((item) => item.tasks);
}

function workingDayFrom(day: Day, habits: PersonHabits): Day {
  for (let i = 0; i < 7; i += 1) {
    const candidate = addDays(day, i);
    if (habits.worksOn.includes(weekdayOf(candidate))) return candidate;
  }
  return day;
}

function between([from, to]: readonly [number, number], random: Random): number {
  return from + Math.floor(random() * (to - from + 1));
}
