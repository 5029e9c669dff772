import { dayMs, minuteMs } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import type { Machine } from '../domain/machine.js';
import { hoursQuantiles, pReached } from './at.js';
import { readingFault } from './errors.js';
import { estimateHours, type HoursEstimate } from './estimate.js';
import { carryHours, type Evidence, gatherEvidence } from './evidence.js';
import { meantBy } from './slips.js';

/** Whether a reading counts at once, never, or only once a person has confirmed it. */
export type Belief =
  | { readonly kind: 'believed' }
  | { readonly kind: 'refused'; readonly fault: Fault }
  | { readonly kind: 'questionable'; readonly question: string; readonly suggestionHours: number | null };

const clockSlackMs = 5 * minuteMs;
const mostHours = 1e6;
/** Meters round to tenths and clocks differ by minutes. */
const roundingHours = 0.1;
/** Chance of so many hours or more below which a reading is asked about. */
const questionBelow = 0.001;
/** Rises smaller than this are never asked about, whatever the forecast says. Common practice, no source. */
const smallRiseHours = 10;
/** A correction is offered where it is at least so many times likelier than the number as typed. */
const clearlyLikelier = 20;

/** Judges a reading that a person wants to enter, against what is known and what the forecast holds possible.
 *  Refused: not a finite number from 0 to a million; more than 5 minutes ahead of now; below an earlier reading or above a later one; more
 *  than 24 h a day + 0.1 h from or to its neighbours. Questionable: the chance of so many hours or more is below 0.001 and the rise is 10 h or
 *  more; then the slips of slips.ts are scored under the same distribution and the likeliest is suggested.
 *  A machine of which nothing is known, or only what the reading could replace, believes anything sane.
 *  @param hemisphere  of the household
 *  @param reading     hours on the meter in use at its instant
 *  @returns           never throws
 *  Source: common practice, no source. */
export function believeReading(
  machine: Machine,
  facts: MachineFacts,
  hemisphere: 'north' | 'south',
  reading: { readonly atMs: number; readonly hours: number },
  nowMs: number,
): Belief {
  const insane = judgeAlone(machine, reading, nowMs);
  if (insane !== null) return { kind: 'refused', fault: insane };
  const evidence = gatherEvidence(machine, facts, hemisphere);
  const changes = machine.meter.kind === 'meter' ? machine.meter.changes : [];
  const hours = carryHours(changes, reading.hours, reading.atMs);
  const shift = hours - reading.hours;
  const neighbours = neighboursOf(evidence, reading.atMs);
  const impossible = judgeNeighbours(neighbours, { atMs: reading.atMs, hours }, shift);
  if (impossible !== null) return { kind: 'refused', fault: impossible };
  const { before } = neighbours;
  const estimate = before === undefined ? null : estimateHours(evidence, nowMs);
  if (before === undefined || estimate === null || hours - before.hours < smallRiseHours) return { kind: 'believed' };
  // Between two readings nothing above the later one got here, and the bridge is no reason to doubt a person.
  if (neighbours.after !== undefined) return { kind: 'believed' };
  const p = pReached(estimate, hours, reading.atMs);
  if (p >= questionBelow) return { kind: 'believed' };
  const suggestionHours = likeliestMeant(estimate, reading, shift, before.hours);
  return {
    kind: 'questionable',
    question: ask(estimate, reading, before.hours - shift, shift, suggestionHours),
    suggestionHours,
  };
}

function judgeAlone(machine: Machine, reading: { atMs: number; hours: number }, nowMs: number): Fault | null {
  const { hours, atMs } = reading;
  const retype = 'Type the number that the hour meter shows, such as 386.2.';
  if (machine.meter.kind === 'none') {
    return readingFault(
      'reading-without-meter',
      `${machine.name} has no hour meter`,
      say(hours),
      'Say how long it ran instead.',
    );
  }
  if (!Number.isFinite(hours))
    return readingFault('reading-not-a-number', 'This is not a number of hours', String(hours), retype);
  if (hours < 0) return readingFault('reading-negative', 'Hours cannot be below zero', say(hours), retype);
  if (hours > mostHours)
    return readingFault('reading-too-large', 'No hour meter shows more than a million hours', String(hours), retype);
  if (!Number.isFinite(atMs) || atMs > nowMs + clockSlackMs) {
    const found = Number.isFinite(atMs) ? new Date(Math.min(atMs, 8e15)).toISOString().slice(0, 16) : String(atMs);
    return readingFault(
      'reading-in-future',
      'This reading is from the future',
      found,
      'Give the time at which you saw it.',
    );
  }
  return null;
}

interface Neighbours {
  readonly before: Evidence['readings'][number] | undefined;
  readonly after: Evidence['readings'][number] | undefined;
}

function neighboursOf(evidence: Evidence, atMs: number): Neighbours {
  // A meter was replaced at this very instant: both showings stand there, and each is its own limit.
  const before = evidence.readings.filter((one) => one.atMs <= atMs).at(-1);
  const after = evidence.readings.find((one) => one.atMs > atMs);
  return { before, after };
}

function judgeNeighbours(
  neighbours: Neighbours,
  reading: { atMs: number; hours: number },
  shift: number,
): Fault | null {
  const { before, after } = neighbours;
  const shown = say(reading.hours - shift);
  const onDay = (atMs: number) => new Date(atMs).toISOString().slice(0, 10);
  if (before !== undefined && !before.about) {
    const stood = `${say(before.hours - shift)} on ${onDay(before.atMs)}`;
    if (reading.hours < before.hours - 1e-9) {
      return readingFault(
        'reading-below-last',
        `The meter stood at ${stood}, and a meter does not run backwards`,
        shown,
        'Look again; if the meter was replaced, say so in the machine file.',
      );
    }
    if (reading.hours - before.hours > hoursBetween(before.atMs, reading.atMs) + roundingHours) {
      return readingFault(
        'reading-too-fast',
        `That is more than 24 hours a day since the meter stood at ${stood}`,
        shown,
        'Look again, and check the day.',
      );
    }
  }
  if (after !== undefined && !after.about) {
    const stood = `${say(after.hours - shift)} on ${onDay(after.atMs)}`;
    if (reading.hours > after.hours + 1e-9) {
      return readingFault(
        'reading-above-later',
        `A later reading is lower: the meter stood at ${stood}`,
        shown,
        'Look again, and check the day.',
      );
    }
    if (after.hours - reading.hours > hoursBetween(reading.atMs, after.atMs) + roundingHours) {
      return readingFault(
        'reading-too-fast',
        `From this reading to ${stood} would be more than 24 hours a day`,
        shown,
        'Look again, and check the day.',
      );
    }
  }
  return null;
}

function hoursBetween(fromMs: number, toMs: number): number {
  return (24 * (toMs - fromMs)) / dayMs;
}

/** The correction with the greatest slip weight × chance of landing there; null where none is clearly likelier than the number itself. */
function likeliestMeant(
  estimate: HoursEstimate,
  reading: { atMs: number; hours: number },
  shift: number,
  lastHours: number,
): number | null {
  const density = (hours: number) => {
    const reach = Math.max(0.05, (hours - lastHours) * 0.02);
    return (
      Math.max(0, pReached(estimate, hours - reach, reading.atMs) - pReached(estimate, hours + reach, reading.atMs)) /
      (2 * reach)
    );
  };
  let best: { hours: number; score: number } | null = null;
  for (const candidate of meantBy(reading.hours)) {
    const carried = candidate.hours + shift;
    if (carried < lastHours) continue;
    const score = candidate.weight * density(carried);
    if (best === null || score > best.score) best = { hours: candidate.hours, score };
  }
  return best !== null && best.score > clearlyLikelier * density(reading.hours + shift) && best.score > 1e-6
    ? best.hours
    : null;
}

function ask(
  estimate: HoursEstimate,
  reading: { atMs: number; hours: number },
  lastShown: number,
  shift: number,
  suggestion: number | null,
): string {
  const [high = lastShown] = hoursQuantiles(estimate, reading.atMs, [0.95]).map((hours) => hours - shift);
  const rise = reading.hours - lastShown;
  const since = new Date(estimate.timeline.origin.atMs).toISOString().slice(0, 10);
  const start = `${say(reading.hours)} is ${say(rise)} more than the ${say(lastShown)} of ${since}; I expected at most about ${say(high)}.`;
  return suggestion === null ? `${start} Is it right?` : `${start} Did you mean ${say(suggestion)}?`;
}

function say(hours: number): string {
  return `${Math.round(hours * 10) / 10} h`;
}
