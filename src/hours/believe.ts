import { dayMs, dayOf, minuteMs, timeOfDayAt, type Zone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { hoursQuantiles, pReached } from './at.js';
import { readingFault } from './errors.js';
import { estimateHours, type HoursEstimate } from './estimate.js';
import { carryHours, type Evidence } from './evidence.js';
import { decimalsOf, type LikelySlip, likeliestSlip, type OtherMachine } from './likely-slip.js';

/** Whether a reading counts at once, never, or only once a person has confirmed it. */
export type Belief =
  | { readonly kind: 'believed' }
  | { readonly kind: 'refused'; readonly fault: Fault }
  | { readonly kind: 'questionable'; readonly question: string; readonly suggestionHours: number | null };

const clockSlackMs = 5 * minuteMs;
const mostHours = 1e6;
/** Meters round: one with tenths may step by a tenth at each end, one that shows whole hours by an hour; clocks differ by minutes. */
const roundingHours = { tenths: 0.2, whole: 1 } as const;
/** What a meter with tenths may hide. */
const showsHours = 0.1;
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
  const { before } = neighbours;
  const lastChange = changes.filter((change) => change.atMs <= reading.atMs).sort((a, b) => b.atMs - a.atMs)[0];
  const lastMeterAhead = lastChange === undefined ? null : lastChange.lastHours - lastChange.firstHours;
  const slipBehind = (estimate: HoursEstimate) =>
    likeliestSlip({
      value: reading.hours,
      density: densityOf(estimate, neighbours, reading.atMs, shift),
      isLikely: (value) => pReached(estimate, value + shift, reading.atMs) >= meantFrom,
      lastMeterAhead,
      decimals: Math.max(1, ...evidence.readings.map((one) => decimalsOf(one.hours - shift))),
      others,
    });
  const impossible = judgeNeighbours(neighbours, { atMs: reading.atMs, hours }, shift, zone);
  if (impossible !== null) {
    const estimate = estimateHours(evidence, nowMs);
    const slip = estimate === null ? null : slipBehind(estimate);
    return { kind: 'refused', fault: slip === null ? impossible : naming(impossible, slip) };
  }
  if (before === undefined || isUnremarkable(neighbours, { atMs: reading.atMs, hours })) return { kind: 'believed' };
  // Last, because the fit is what takes time: a long import is mostly of small rises.
  const estimate = estimateHours(evidence, nowMs);
  if (estimate === null) return { kind: 'believed' };
  const p = chanceOf(estimate, neighbours, hours, reading.atMs);
  const bounds = neighbours.after === undefined ? askedAhead : askedBetween;
  if (p >= bounds.slipBelow) return { kind: 'believed' };
  const slip = slipBehind(estimate);
  const isSlip = slip !== null && slip.odds >= bounds.fromOdds;
  if (p >= bounds.below && !isSlip) return { kind: 'believed' };
  const named = isSlip && slip.share >= namedFromShare ? slip : null;
  return {
    kind: 'questionable',
    question: ask(estimate, neighbours, reading, shift, named, zone),
    suggestionHours: named?.value ?? null,
  };
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
 *  fewer. A machine that hardly ran lately is no surprise as long as nothing later says otherwise. */
function chanceOf(estimate: HoursEstimate, { after }: Neighbours, hours: number, atMs: number): number {
  if (after === undefined) return pReached(estimate, hours, atMs);
  // Where the machine stood still up to here, or from here on, the hours are those of a neighbour, whatever is rounded off.
  const orMore = pReached(estimate, hours - showsHours, atMs);
  const orFewer = 1 - pReached(estimate, hours + showsHours, atMs);
  return Math.min(orMore, orFewer);
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

interface Neighbours {
  readonly before: Evidence['readings'][number] | undefined;
  readonly after: Evidence['readings'][number] | undefined;
}

function neighboursOf(evidence: Evidence, atMs: number): Neighbours {
  // A meter was replaced at this very instant: both showings stand there, and each is its own limit.
  const last = evidence.readings.findLastIndex((one) => one.atMs <= atMs);
  return { before: evidence.readings[last], after: evidence.readings[last + 1] };
}

/** How a reading contradicts its neighbours; null where it agrees with both.
 *  @param reading  hours carried to the meter in use now
 *  @param shift    from the meter in use at its instant */
function clash({ before, after }: Neighbours, reading: { atMs: number; hours: number }, shift: number) {
  const isTooFast = (one: { atMs: number; hours: number }, next: { atMs: number; hours: number }) => {
    const isWhole = [one, next].every(({ hours }) => Math.abs((hours - shift) % 1) < 1e-6);
    const rounding = isWhole ? roundingHours.whole : roundingHours.tenths;
    return next.hours - one.hours > (24 * (next.atMs - one.atMs)) / dayMs + rounding + 1e-9;
  };
  if (before !== undefined && !before.about) {
    if (reading.hours < before.hours - 1e-9) return 'below-last';
    if (isTooFast(before, reading)) return 'too-fast';
  }
  if (after !== undefined && !after.about) {
    if (reading.hours > after.hours + 1e-9) return 'above-later';
    if (isTooFast(reading, after)) return 'too-fast-after';
  }
  return null;
}

function judgeNeighbours(
  neighbours: Neighbours,
  reading: { atMs: number; hours: number },
  shift: number,
  zone: Zone,
): Fault | null {
  const found = clash(neighbours, reading, shift);
  if (found === null) return null;
  const { before, after } = neighbours;
  const shown = say(reading.hours - shift);
  const stood = (one: Neighbours['before']) =>
    one === undefined ? '' : `${say(one.hours - shift)} on ${dayOf(one.atMs, zone)}`;
  const again = 'Look again, and check the day.';
  switch (found) {
    case 'below-last':
      return readingFault(
        'reading-below-last',
        `The meter stood at ${stood(before)}, and a meter does not run backwards`,
        shown,
        'Look again; if the meter was replaced, say so in the machine file.',
      );
    case 'too-fast':
      return readingFault(
        'reading-too-fast',
        `That is more than 24 hours a day since the meter stood at ${stood(before)}`,
        shown,
        again,
      );
    case 'above-later':
      return readingFault(
        'reading-above-later',
        `A later reading is lower: the meter stood at ${stood(after)}`,
        shown,
        again,
      );
    case 'too-fast-after':
      return readingFault(
        'reading-too-fast',
        `From this reading to ${stood(after)} would be more than 24 hours a day`,
        shown,
        again,
      );
  }
}

/** Chance per hour of a reading near a value as it would be typed; 0 where its neighbours forbid it. */
function densityOf(estimate: HoursEstimate, neighbours: Neighbours, atMs: number, shift: number) {
  const lastHours = neighbours.before?.hours ?? 0;
  return (typed: number) => {
    const hours = typed + shift;
    if (clash(neighbours, { atMs, hours }, shift) !== null) return 0;
    const reach = Math.max(0.05, (hours - lastHours) * 0.02);
    const p = pReached(estimate, hours - reach, atMs) - pReached(estimate, hours + reach, atMs);
    return Math.max(0, p) / (2 * reach);
  };
}

/** A refusal that names what was probably meant, where that is clear. */
function naming(fault: Fault, slip: LikelySlip): Fault {
  if (slip.share < namedFromShare) return fault;
  const { code, message, found, retry } = fault;
  return new Fault({
    code,
    message,
    found,
    retry,
    remedy: `${sayMeant(slip, found ?? '')} ${fault.remedy ?? ''}`.trim(),
  });
}

function ask(
  estimate: HoursEstimate,
  { before, after }: Neighbours,
  reading: { atMs: number; hours: number },
  shift: number,
  slip: LikelySlip | null,
  zone: Zone,
): string {
  const typed = say(reading.hours);
  const [low = reading.hours, high = low] = hoursQuantiles(estimate, reading.atMs, [0.05, 0.95]).map((h) => h - shift);
  const stood = (one: { readonly atMs: number; readonly hours: number }) =>
    `${say(one.hours - shift)} of ${dayOf(one.atMs, zone)}`;
  const doubt = slip === null ? 'Is it right?' : sayMeant(slip, typed);
  const last = before ?? estimate.timeline.origin;
  if (after !== undefined) {
    return `${typed} lies between the ${stood(last)} and the ${stood(after)}, but I expected ${sayRange(low, high)}. ${doubt}`;
  }
  const expected = high < reading.hours ? `; I expected at most about ${say(high)}` : '';
  return `${typed} is ${say(reading.hours - (last.hours - shift))} more than the ${stood(last)}${expected}. ${doubt}`;
}

function sayRange(low: number, high: number): string {
  return say(low) === say(high) ? `about ${say(low)}` : `${say(low).replace(' h', '')} to ${say(high)}`;
}

/** @param typed  the value as typed, in words */
function sayMeant(slip: LikelySlip, typed: string): string {
  if (slip.value === null) return `${typed} fits ${slip.machine ?? 'another machine'} better. Was it read there?`;
  const meant = `${sayAsTyped(slip.value)} h`;
  return slip.slip === 'last-meter'
    ? `Did you mean ${meant}, without the hours of the meter before?`
    : `Did you mean ${meant}?`;
}

/** With all its digits: a suggestion is entered as it stands. */
function sayAsTyped(hours: number): string {
  return String(Math.round(hours * 100) / 100);
}

function say(hours: number): string {
  return `${Math.round(hours * 10) / 10} h`;
}
