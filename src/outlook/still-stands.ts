import { dayNumber } from '../domain/day.js';
import type { Facts, MachineFacts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';

/** Only visits further ahead than this can wait for the next look, days: as far as a reading could change what is said. */
const farDays = 42;
/** Hours that a feed may bring before the next look, as a share of the shortest interval. */
const littleShare = 0.1;

/** What was looked at, and what came of it. */
export interface Looked {
  readonly home: Home;
  readonly facts: Facts;
  readonly outlook: Outlook;
}

/** Whether a look ahead may wait for its own next time although facts changed: nothing but a feed's hours came in, a tenth of the shortest
 *  interval at most, for machines whose visits are all more than six weeks off. A sensor tells its hours every evening, and most
 *  evenings they change nothing that could be said; a burst of use is looked at on the evening it is told.
 *  @param before  a look with what it rested on
 *  @returns       false where the outlook says something, its next look has come, or the clock was set back
 *  Source: own policy. */
export function stillStands(before: Looked, home: Home, facts: Facts, nowMs: number): boolean {
  const { outlook } = before;
  if (before.home !== home || outlook.messages.length > 0) return false;
  if (nowMs < outlook.nowMs || nowMs >= outlook.nextLookMs) return false;
  if (apartFromMachines(before.facts) !== apartFromMachines(facts)) return false;
  if (facts.machines.length !== before.facts.machines.length) return false;
  return facts.machines.every((now, i) => {
    const then = before.facts.machines[i];
    if (then === undefined || then.machine !== now.machine || apartFromFeed(then) !== apartFromFeed(now)) return false;
    if (then.runs.length === now.runs.length && then.feedTotal?.lastAtMs === now.feedTotal?.lastAtMs) return true;
    const ahead = outlook.machines.find((one) => one.machine === now.machine);
    return ahead !== undefined && isFar(now.machine, outlook) && isLittle(then, now, ahead);
  });
}

function apartFromMachines({ householdSent, nights }: Facts): string {
  return JSON.stringify({ householdSent, nights });
}

function apartFromFeed(facts: MachineFacts): string {
  return JSON.stringify({ ...facts, runs: null, coverage: null, feedTotal: null });
}

function isFar(machine: string, outlook: Outlook): boolean {
  const from = dayNumber(outlook.today) + farDays;
  return outlook.visits
    .filter((visit) => visit.machine === machine)
    .every((visit) => dayNumber(visit.day) > from && dayNumber(visit.due.p10) > from);
}

function isLittle(then: MachineFacts, now: MachineFacts, { dues }: MachineOutlook): boolean {
  if (then.feedTotal === null || now.feedTotal === null) return false;
  const hours = (now.feedTotal.runSeconds - then.feedTotal.runSeconds) / 3600;
  const intervals = dues.flatMap(({ intervalHours }) => intervalHours ?? []);
  return hours >= 0 && hours <= littleShare * Math.min(...intervals);
}
