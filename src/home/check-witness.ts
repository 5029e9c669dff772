import { type Breach, under } from '../domain/breach.js';
import { addDays, type Day, dayMs, dayOf, startOfDay, type Zone } from '../domain/day.js';
import { sinceOf } from './check-machine.js';
import type { MachineYaml } from './machine-schema.js';

/** What the files of a home are held against besides each other. */
export interface Witness {
  /** Now, or whatever instant can be no later than now; null where the clock cannot be believed: no day is judged then.
   *  @param zone  of the household */
  nowMs(zone: Zone): number | null;
  /** Readings of a machine that were written down, on the meter in use at their instant, by time. */
  readings(machine: string): readonly SeenReading[];
}

interface SeenReading {
  readonly atMs: number;
  readonly hours: number;
}

/** A day further ahead than this has a mistyped year. One nearer is left to a note of `check`: a computer at home may start with a clock that
 *  is years behind, and the service must not stay down for it. */
const daysAhead = 8 * 366;
/** The file may be right and the reading wrong. */
const orUndo = 'If the reading was a slip, take it back: shedbell undo, with its id from shedbell export.';
/** Meters round to a tenth. */
const roundingHours = 0.1;

/** What a machine says that cannot be so now: days that lie years ahead, and meter values that readings contradict. */
export function checkWitness(id: string, yaml: MachineYaml, witness: Witness, zone: Zone): Breach[] {
  const nowMs = witness.nowMs(zone);
  const early = nowMs === null ? [] : checkDays(yaml, dayOf(nowMs, zone));
  // A meter that changed on a day still to come contradicts every reading: one error is enough.
  if (early.length > 0 || yaml.meter === 'none') return early;
  const since = sinceOf(yaml);
  return since === null ? [] : under(['meter'], checkReadings(yaml.meter, since, witness.readings(id), zone));
}

/** What was seen or done cannot lie ahead; a mistyped year would keep the service quiet for decades. */
function checkDays({ since, meter, last }: MachineYaml, today: Day): Breach[] {
  const latest = addDays(today, daysAhead);
  const judged: { day: Day | undefined; remedy: string; path: (string | number)[] }[] = [
    {
      day: since,
      remedy: 'Write the day on which the machine came.',
      path: ['since'],
    },
  ];
  if (meter !== 'none') {
    const remedy = 'Write the day on which somebody read the meter.';
    judged.push({ day: meter.first?.on, remedy, path: ['meter', 'first', 'on'] });
    meter.replaced.forEach((change, index) => {
      const path = ['meter', 'replaced', index, 'on'];
      judged.push({ day: change.on, remedy: 'Write the day on which the meter was replaced or began anew.', path });
    });
  }
  for (const [task, done] of typeof last === 'string' ? [] : Object.entries(last)) {
    if (typeof done === 'string') continue;
    judged.push({ day: done.day, remedy: 'Write the day on which it was done.', path: ['last', task, 'day'] });
  }
  return judged.flatMap(({ day, remedy, path }) =>
    day === undefined || day <= latest
      ? []
      : [
          {
            code: 'day-to-come',
            message: `This day lies years ahead: today is ${today}`,
            found: day,
            remedy,
            path,
          },
        ],
  );
}

/** Each reading must fit the meter that the file says was in use then: not below where that one began, not above where it
 *  stopped, and not further than it can have run. */
function checkReadings(
  meter: Exclude<MachineYaml['meter'], 'none'>,
  since: Day,
  readings: readonly SeenReading[],
  zone: Zone,
): Breach[] {
  const breaches: Breach[] = [];
  const said = ({ atMs, hours }: SeenReading) => `on ${dayOf(atMs, zone)} it was read at ${hours} h`;
  const { first, replaced } = meter;
  if (first !== undefined && !first.about) {
    const on = first.on ?? since;
    const [fromMs, toMs] = [startOfDay(addDays(on, 1), zone), startOf(replaced[0]?.on, zone)];
    const below = readings.find((r) => r.atMs >= fromMs && r.atMs < toMs && r.hours < first.hours - roundingHours);
    if (below !== undefined) {
      breaches.push({
        code: 'readings-contradict',
        message: `The meter cannot have shown this on ${on}: ${said(below)}`,
        found: `${first.hours} h`,
        remedy: `Correct hours or on; where it is only roughly known, add about: true. ${orUndo}`,
        path: ['first', 'hours'],
      });
    }
  }
  replaced.forEach((change, index) => {
    const [fromMs, changedMs, toMs] = [
      startOf(replaced[index - 1]?.on, zone, Number.NEGATIVE_INFINITY),
      startOf(change.on, zone),
      startOf(replaced[index + 1]?.on, zone),
    ];
    const above = readings.find((r) => r.atMs >= fromMs && r.atMs < changedMs && r.hours > change.last + roundingHours);
    if (above !== undefined) {
      breaches.push({
        code: 'readings-contradict',
        message: `The old meter cannot have stopped here: ${said(above)}`,
        found: `${change.last} h`,
        remedy: `Write what the old meter showed last, or correct the day on:. ${orUndo}`,
        path: ['replaced', index, 'last'],
      });
    }
    const mostHours = (atMs: number) => change.first + ((atMs - changedMs) / dayMs) * 24 + roundingHours;
    const wrong = readings.find(
      (r) =>
        r.atMs >= changedMs && r.atMs < toMs && (r.hours > mostHours(r.atMs) || r.hours < change.first - roundingHours),
    );
    if (wrong !== undefined) {
      const isOld = wrong.hours > change.first;
      breaches.push({
        code: 'readings-contradict',
        message: isOld
          ? `The new meter began at ${change.first} h, but ${said(wrong)}, as the old one may have been`
          : `The new meter cannot have begun at ${change.first} h: ${said(wrong)}`,
        found: change.on,
        remedy: isOld
          ? `Write a day after ${dayOf(wrong.atMs, zone)}, or correct what the new meter showed first. ${orUndo}`
          : `Correct on, or what the new meter showed first. ${orUndo}`,
        path: ['replaced', index, isOld ? 'on' : 'first'],
      });
    }
  });
  return breaches;
}

function startOf(day: Day | undefined, zone: Zone, otherwise = Number.POSITIVE_INFINITY): number {
  return day === undefined ? otherwise : startOfDay(day, zone);
}
