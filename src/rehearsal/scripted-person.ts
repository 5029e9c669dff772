import type { Service } from '../daemon/wire.js';
import { addDays, type Day, dayOf, daysBetween, instantOf, parseTimeOfDay, weekdayOf } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import type { Random } from '../domain/outside.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { confirmVisit } from '../ledger/confirm-visit.js';
import { enterReading } from '../ledger/enter-reading.js';
import type { Diary } from './diary.js';
import type { Errands } from './errands.js';
import { type PersonHabits, tooEarlyShare } from './person.js';
import { seededRandom, seedFor } from './random.js';
import type { TrueHours } from './true-hours.js';

const mealtime = parseTimeOfDay('18:00');
const workTime = parseTimeOfDay('10:00');
/** A visit that waits for parts is tried this often before the person gives up on it. */
const mostAttempts = 10;

/** A person who knows only what messages say: answers, buys and works by their habits.
 *  @returns what they do when they get a notice */
export function scriptedPerson(input: {
  readonly service: Service;
  readonly truth: ReadonlyMap<string, TrueHours>;
  readonly habits: PersonHabits;
  readonly errands: Errands;
  readonly diary: Diary;
}): (machine: string, notice: SentNotice) => void {
  const { service, truth, habits, errands, diary } = input;
  const { books } = service;
  const { zone } = books.home().household;
  const nowMs = () => books.clock.nowMs();
  const chance = (purpose: string) => seededRandom(seedFor(habits.seed, purpose));
  const random = { answers: chance('answers'), work: chance('work'), parts: chance('parts') };
  const arrival = new Map<string, Day>();
  const partsHeard = new Map<string, Day>();
  const trips = new Set<string>();

  const visitCalled = (id: string | null) => service.latest().visits.find((v) => v.id === id);
  const duesOf = (machine: string) => service.latest().machines.find((m) => m.machine === machine)?.dues ?? [];

  /** Reads the meter and enters it; null where the machine has none. */
  const readMeter = (machine: string): number | null => {
    const metered = books.home().machines.find((m) => m.id === machine)?.meter.kind === 'meter';
    const hours = truth.get(machine)?.at(nowMs());
    if (!metered || hours === undefined) return null;
    const shown = Math.round(hours * 10) / 10;
    const entry = enterReading(books, {
      machine,
      hours: shown,
      atMs: nowMs(),
      by: null,
      door: 'rehearsal',
      confirm: true,
      key: null,
    });
    if (entry.kind === 'counted') diary.readings += 1;
    return shown;
  };

  const buy = (machine: string, visit: Visit, kind: 'parts' | 'work', today: Day) => {
    for (const item of visit.shopping.filter((each) => each.toBuy > 0)) {
      for (const task of item.tasks) {
        const key = `${machine} ${task}`;
        if (kind === 'parts' && !partsHeard.has(key)) partsHeard.set(key, today);
        if (arrival.has(key)) continue;
        // What a `parts` notice did not move the person to buy, they buy when they hear of the work itself.
        if (kind === 'parts' && random.parts() >= habits.buysParts) continue;
        arrival.set(key, addDays(today, item.leadDays));
      }
    }
  };

  /** The day on which all that the visit still lacks is here; null where nothing is on its way. */
  const allHere = (visit: Visit): Day | null => {
    let latest: Day | null = null;
    for (const item of visit.shopping.filter((each) => each.toBuy > 0)) {
      for (const task of item.tasks) {
        const day = arrival.get(`${visit.machine} ${task}`);
        if (day !== undefined && (latest === null || day > latest)) latest = day;
      }
    }
    return latest;
  };

  const goToWork = (machine: string, notice: SentNotice, attempt: number) => {
    const visit = visitCalled(notice.visit);
    const today = dayOf(nowMs(), zone);
    // Confirmed since, or worked on this very day after another notice.
    if (visit === undefined || trips.has(`${visit.id} ${today}`)) return;
    const here = allHere(visit);
    if (here !== null && here > today && attempt < mostAttempts) {
      const atMs = instantOf(workingDayFrom(here, habits), workTime, zone);
      errands.plan({ atMs, run: () => goToWork(machine, notice, attempt + 1) });
      return;
    }
    trips.add(`${visit.id} ${today}`);
    const hours = readMeter(machine);
    const dues = duesOf(machine);
    const named = notice.tasks.filter((task) => visit.tasks.includes(task));
    if (visit.kind === 'service' && shareLeft(named, dues, hours, today) > tooEarlyShare) {
      diary.wastedTrips.set(machine, (diary.wastedTrips.get(machine) ?? 0) + 1);
      return;
    }
    confirm(visit, notice, hours, dues, today);
  };

  const confirm = (visit: Visit, notice: SentNotice, hours: number | null, dues: readonly Due[], today: Day) => {
    const { machine } = visit;
    const estimated = service.latest().machines.find((m) => m.machine === machine)?.hoursNow?.p50 ?? null;
    const confirmation = confirmVisit(books, {
      visit: { id: visit.id, machine, tasks: visit.tasks },
      tasks: [...visit.tasks],
      day: today,
      hours,
      hoursEstimated: estimated,
      by: notice.to,
      door: 'rehearsal',
      note: null,
      minutes: visit.minutes,
      findings: [],
      key: null,
    });
    if (confirmation.kind !== 'recorded') return;
    for (const task of visit.tasks) {
      const due = dues.find((d) => d.task === task);
      const key = `${machine} ${task}`;
      if (due !== undefined) {
        diary.services.push({
          machine,
          task,
          doneOn: today,
          trueHours: truth.get(machine)?.at(nowMs()) ?? hours ?? 0,
          pulledForward: visit.pulledForward.includes(task),
          partsNoticeOn: partsHeard.get(key) ?? null,
          due,
          record: confirmation.record.id,
        });
      }
      partsHeard.delete(key);
      arrival.delete(key);
    }
  };

  return (machine, notice) => {
    const today = dayOf(notice.atMs, zone);
    if (notice.kind === 'reading') {
      if (random.answers() >= habits.answersReading) return;
      const answerOn = addDays(today, between(habits.delayDays, random.answers));
      errands.plan({ atMs: instantOf(answerOn, mealtime, zone), run: () => void readMeter(machine) });
      return;
    }
    const visit = visitCalled(notice.visit);
    if (visit !== undefined) buy(machine, visit, notice.kind === 'parts' ? 'parts' : 'work', today);
    if (notice.kind !== 'work' && notice.kind !== 'late') return;
    const proposed = notice.proposedDay !== null && notice.proposedDay > today ? notice.proposedDay : addDays(today, 1);
    const first = workingDayFrom(proposed, habits);
    const day = random.work() < habits.doesWork ? first : workingDayFrom(addDays(first, 7), habits);
    errands.plan({ atMs: instantOf(day, workTime, zone), run: () => goToWork(machine, notice, 0) });
  };
}

/** Share of the interval left before the nearest limit of the tasks that the message named; 0 when one is reached. */
function shareLeft(tasks: readonly string[], dues: readonly Due[], hours: number | null, today: Day): number {
  const shares: number[] = [];
  for (const task of tasks) {
    const due = dues.find((d) => d.task === task);
    if (due === undefined) continue;
    if (due.targetHours !== null && due.intervalHours !== null && hours !== null) {
      shares.push((due.targetHours - hours) / due.intervalHours);
    }
    if (due.calendarDay !== null && due.intervalDays !== null) {
      shares.push(daysBetween(today, due.calendarDay) / due.intervalDays);
    }
  }
  return shares.length === 0 ? 0 : Math.max(0, Math.min(...shares));
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
