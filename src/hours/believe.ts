import { dayOf, hourMs, minuteMs, timeOfDayAt, type Zone } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { hoursQuantiles, pReached } from './at.js';
import { ask, clashFault, naming, sayRead } from './believe-words.js';
import { readingFault } from './errors.js';
import { estimateHours, type HoursEstimate } from './estimate.js';
import { type Change, carryHours, type Evidence } from './evidence.js';
import { decimalsOf, likeliestSlip, type OtherMachine } from './likely-slip.js';
import { clash, type Neighbours, neighboursOf } from './neighbours.js';
import { timeWithin } from './spans.js';

/** Whether a reading counts at once, never, or only once a person has confirmed it. */
export type Belief =
  | { readonly kind: 'believed' }
  | { readonly kind: 'refused'; readonly fault: Fault }
  | { readonly kind: 'questionable'; readonly question: string; readonly suggestionHours: number | null };

const clockSlackMs = 5 * minuteMs;
const mostHours = 1e6;
/** When a reading is asked about. */
interface Asked {
  /** Chance of hours so far out below which it is, whatever explains it. */
  readonly below: number;
  /** Chance below which it is where a slip explains it better. */
  readonly slipBelow: number;
  /** Odds of a slip, against use, from which it is: a question is soon answered, a wrong reading misleads for months. */
  readonly fromOdds: number;
}

/** With odds of 0.02, 2 of 1186 honest readings of invented owners were questioned, and 995 of 1000 lost decimal points caught; at 0.3 0 and 987. */
const askedAhead: Asked = { below: 0.005, slipBelow: 0.25, fromOdds: 0.02 };
/** Between two readings a wrong one misleads little, and the gamma bridge knows bursts less well: with the bounds from above 9 of 468
 *  honest readings entered late were questioned, with these none. */
const askedBetween: Asked = { below: 0.0003, slipBelow: 0.02, fromOdds: 2 };
/** Nobody meant hours that are reached with less than this chance. */
const meantFrom = 0.005;
/** Rises up to this are never asked about, whatever the forecast says. Common practice, no source. */
const smallRiseHours = 1;
/** A feed says nearly what a meter shows, not to the tenth: the ratio of its hours to the meter's differs from job to job, and a run may be
 *  missed. A meter may be off by this share of what was seen, and by what a rise may be. Common practice, no source. */
const feedOffShare = 0.1;
/** So near to the straight line between two readings, as a share of the rise, nothing is remarkable. */
const nearLineShare = 0.25;
/** A slip is named where it makes up at least this share of all that explain the value; the rest are guesses. */
const namedFromShare = 0.3;

/** Judges a reading that a person wants to enter, against what is known and what the forecast holds possible.
 *  Refused: not a finite number from 0 to a million; more than 5 minutes ahead of now; below an earlier reading or above a later one; more
 *  than 24 h a day (and what meters round) from or to its neighbours; the remedy names what was probably meant. Questionable, above a rise
 *  of 1 h: the chance of so many hours or more is below 0.005, or below 0.25 and a slip of the hand (likely-slip.ts) is not far less
 *  likely than such use; between two readings, away from the line between them: the chance of so many or more, or of so few or fewer, is
 *  below 0.0003, or below 0.02 and a slip twice as likely. The likeliest slip is named. A machine of which nothing is known, or only what
 *  the reading could replace, believes anything sane.
 *  @param evidence   of this machine, arranged: whoever judges a long list gathers once and adds each (`withReading`)
 *  @param household  its zone for the days that are told
 *  @param reading    hours on the meter in use at its instant
 *  @param others     the other machines with a meter, whose hours may have been taken for this one's; asked only in doubt
 *  @returns          never throws
 *  Source: Bayes' rule on the forecast; bounds common practice, no source. */
export function believeReading(
  machine: Machine,
  evidence: Evidence,
  household: Pick<Household, 'zone'>,
  reading: { readonly atMs: number; readonly hours: number },
  nowMs: number,
  others: () => readonly OtherMachine[] = () => [],
): Belief {
  const { zone } = household;
  const insane = judgeAlone(machine, reading, nowMs, zone);
  if (insane !== null) return { kind: 'refused', fault: insane };
  const changes = machine.meter.kind === 'meter' ? machine.meter.changes : [];
  const hours = carryHours(changes, reading.hours, reading.atMs);
  const shift = hours - reading.hours;
  const neighbours = neighboursOf(evidence, reading.atMs);
  let known: Look | undefined;
  // Goes through all readings, so only in doubt: a long import is mostly of small rises.
  const meter = () => {
    known ??= lookOf(evidence, changes, reading, shift);
    return known;
  };
  const lastChange = changes.filter((change) => change.atMs <= reading.atMs).sort((a, b) => b.atMs - a.atMs)[0];
  const lastMeterAhead = lastChange === undefined ? null : lastChange.lastHours - lastChange.firstHours;
  const slipBehind = (estimate: HoursEstimate) =>
    likeliestSlip({
      value: reading.hours,
      density: densityOf(estimate, neighbours, reading.atMs, shift, meter().stepHours),
      isLikely: (value) => chanceOf(estimate, neighbours, value + shift, reading.atMs, meter().stepHours) >= meantFrom,
      lastMeterAhead,
      decimals: Math.max(1, meter().decimals),
      pTenths: meter().pTenths,
      others,
    });
  const found = clash(neighbours, { atMs: reading.atMs, hours }, shift);
  if (found !== null) {
    const impossible = clashFault(found, { hours }, shift, zone);
    const estimate = estimateHours(evidence, nowMs);
    const slip = estimate === null ? null : slipBehind(estimate);
    const isClear = slip !== null && slip.share >= namedFromShare;
    return { kind: 'refused', fault: isClear ? naming(impossible, slip) : impossible };
  }
  if (isUnremarkable(neighbours, { atMs: reading.atMs, hours })) return { kind: 'believed' };
  // Last, because the fit is what takes time.
  const estimate = estimateHours(evidence, nowMs);
  if (estimate === null) return { kind: 'believed' };
  const p = chanceOf(estimate, neighbours, hours, reading.atMs, meter().stepHours);
  const bounds = neighbours.after === undefined ? askedAhead : askedBetween;
  if (p >= bounds.slipBelow) return { kind: 'believed' };
  const slip = slipBehind(estimate);
  const isSlip = slip !== null && slip.odds >= bounds.fromOdds;
  if (p >= bounds.below && !isSlip) return { kind: 'believed' };
  const named = isSlip && slip.share >= namedFromShare ? slip : null;
  const [low = hours, high = low] = hoursQuantiles(estimate, reading.atMs, [0.05, 0.95]);
  return {
    kind: 'questionable',
    question: ask(neighbours, reading, { low: low - shift, high: high - shift }, shift, named, zone),
    suggestionHours: named?.value ?? null,
  };
}

/** How a meter was read so far. */
interface Look {
  /** Digits behind the point, at most. */
  readonly decimals: number;
  /** How likely a value with tenths is against one without: below 1 where none ever had any. */
  readonly pTenths: number;
  /** Apart of the values that it shows, hours. */
  readonly stepHours: number;
}

/** @param reading  the one to judge; whole hours say nothing where others have tenths */
function lookOf(
  { readings }: Evidence,
  changes: readonly Change[],
  reading: { readonly atMs: number; readonly hours: number },
  shift: number,
): Look {
  const isOtherMeter = ({ atMs }: { readonly atMs: number }) =>
    changes.some((change) => change.atMs <= reading.atMs !== change.atMs <= atMs);
  let decimals = 0;
  let seen = 0;
  for (const one of readings) {
    if (isOtherMeter(one)) continue;
    seen += 1;
    decimals = Math.max(decimals, decimalsOf(one.hours - shift));
  }
  const isWhole = decimals === 0 && decimalsOf(reading.hours) === 0;
  // Laplace's rule of succession: of so many none had tenths.
  return { decimals, pTenths: isWhole ? 2 / (seen + 2) : 1, stepHours: isWhole ? 1 : 0.1 };
}

/** Whether nobody would wonder: a small step from the reading before, or, where a later one is known, hours near the straight line
 *  between both. Saves the fit for nearly every row of a long list. */
function isUnremarkable({ before, after }: Neighbours, reading: { atMs: number; hours: number }): boolean {
  if (before === undefined) return true;
  const used = reading.hours - before.hours;
  if (after === undefined) return used <= smallRiseHours;
  const rise = after.hours - before.hours;
  const share = (reading.atMs - before.atMs) / (after.atMs - before.atMs);
  return Math.abs(used - share * rise) <= Math.max(smallRiseHours, nearLineShare * rise);
}

/** Chance of hours as far out as these: so many or more; where a later reading is known, on the bridge between both, also so few or
 *  fewer. A machine that hardly ran lately is no surprise as long as nothing later says otherwise.
 *  @param hours      on the meter in use now
 *  @param stepHours  apart of the values that the meter shows */
function chanceOf(
  estimate: HoursEstimate,
  { before, after }: Neighbours,
  hours: number,
  atMs: number,
  stepHours: number,
): number {
  const since = before === undefined ? 0 : seenHours(estimate, before.atMs, atMs);
  if (after === undefined) return pReached(estimate, hours - offBy(since), atMs);
  // Where the machine stood still up to here, or from here on, the hours are those of a neighbour, whatever is rounded off.
  const off = Math.max(stepHours, offBy(Math.min(since, seenHours(estimate, atMs, after.atMs))));
  const orMore = pReached(estimate, hours - off, atMs);
  const orFewer = 1 - pReached(estimate, hours + off, atMs);
  return Math.min(orMore, orFewer);
}

/** Meter hours that a feed saw between two instants. */
function seenHours({ timeline, ratio }: HoursEstimate, fromMs: number, toMs: number): number {
  return (ratio.mean * timeWithin(timeline.runs, fromMs, toMs)) / hourMs;
}

/** By how much a meter may differ from what a feed saw, hours; 0 where it saw nothing. */
function offBy(seen: number): number {
  return seen > 0 ? Math.max(smallRiseHours, feedOffShare * seen) : 0;
}

function judgeAlone(
  machine: Machine,
  reading: { atMs: number; hours: number },
  nowMs: number,
  zone: Zone,
): Fault | null {
  const { hours, atMs } = reading;
  const retype = 'Type the number that the hour meter shows, such as 386.2.';
  if (machine.meter.kind === 'none') {
    return readingFault(
      'reading-without-meter',
      `${machine.name} has no hour meter`,
      sayRead(hours),
      'Say how long it ran instead.',
    );
  }
  if (!Number.isFinite(hours))
    return readingFault('reading-not-a-number', 'This is not a number of hours', String(hours), retype);
  if (hours < 0) return readingFault('reading-negative', 'Hours cannot be below zero', sayRead(hours), retype);
  if (hours > mostHours)
    return readingFault('reading-too-large', 'No hour meter shows more than a million hours', String(hours), retype);
  if (!Number.isFinite(atMs) || atMs > nowMs + clockSlackMs) {
    const found =
      Number.isFinite(atMs) && atMs < 8e15 ? `${dayOf(atMs, zone)} ${timeOfDayAt(atMs, zone)}` : String(atMs);
    return readingFault(
      'reading-in-future',
      'This reading is from the future',
      found,
      'Give the time at which you saw it.',
    );
  }
  return null;
}

/** Chance per hour of a reading near a value as it would be typed; 0 where its neighbours forbid it. */
function densityOf(
  estimate: HoursEstimate,
  neighbours: Neighbours,
  atMs: number,
  shift: number,
  stepHours: number,
): (typed: number) => number {
  const lastHours = neighbours.before?.hours ?? 0;
  return (typed: number) => {
    const hours = typed + shift;
    if (clash(neighbours, { atMs, hours }, shift) !== null) return 0;
    const reach = Math.max(stepHours / 2, (hours - lastHours) * 0.02);
    const p = pReached(estimate, hours - reach, atMs) - pReached(estimate, hours + reach, atMs);
    return Math.max(0, p) / (2 * reach);
  };
}
