import { hourMs, minuteMs, parseZone, startOfDay } from '../domain/day.js';
import type { MachineFacts, Span } from '../domain/facts.js';
import type { Expectation, Machine } from '../domain/machine.js';
import { uniteSpans } from './spans.js';

/** All that is known about a machine's hours, ready for the model. */
export interface Evidence {
  /** On the meter in use now, ascending and never falling; hours of an older meter are carried over, and may be negative. */
  readonly readings: readonly EvidenceReading[];
  /** When the feed saw the engine run, in hours of the clock; united. */
  readonly runs: readonly Span[];
  /** When the feed was alive, as it was given; united. Runs outside it are known use, but only covered time teaches how much a day holds. */
  readonly coverage: readonly Span[];
  /** When a person says that nothing ran; united. */
  readonly notUsed: readonly Span[];
  /** False: the meter hours per hour of the feed are learnt. */
  readonly meterRatioKnown: boolean;
  /** What the meter counts; says where the learning of the ratio starts. */
  readonly meterCounts: 'clock' | 'engine-speed';
  readonly expect: Expectation;
  readonly hemisphere: 'north' | 'south';
}

/** Hours seen at an instant, carried over to the meter in use now. */
export interface EvidenceReading {
  readonly atMs: number;
  readonly hours: number;
  /** Known only roughly. */
  readonly about: boolean;
}

/** A meter was replaced: what the old one showed last and the new one first. */
export interface Change {
  readonly atMs: number;
  readonly lastHours: number;
  readonly firstHours: number;
}

/** The evidence about one machine from its configuration and facts. The first meter value of the configuration counts as a reading;
 *  for a machine without a meter, hours count from 0 on the day it came, and told runs add up (inside a feed's coverage the feed
 *  has already seen them).
 *  @param facts       sorted by time; nothing in it need agree, falling readings are levelled to the newer one
 *  @param hemisphere  of the household
 *  @returns           empty lists where nothing is known */
export function gatherEvidence(machine: Machine, facts: MachineFacts, hemisphere: 'north' | 'south'): Evidence {
  const { meter } = machine;
  const changes = meter.kind === 'meter' ? meter.changes : [];
  const readings: EvidenceReading[] = facts.readings.map(({ atMs, hours, about }) => ({ atMs, hours, about }));
  const runs: Span[] = [...facts.runs];
  if (meter.kind === 'meter') {
    if (meter.first !== undefined) readings.push(meter.first);
  } else {
    const startMs = startOfDay(machine.since, parseZone('UTC'));
    const told = facts.toldRuns.map((run) => ({ fromMs: run.atMs - run.minutes * minuteMs, toMs: run.atMs }));
    if (facts.coverage.length > 0 || facts.runs.length > 0) {
      runs.push(...told);
    } else if (told.length > 0) {
      readings.push({ atMs: Math.min(startMs, told[0]?.fromMs ?? startMs), hours: 0, about: false });
      let hours = 0;
      let endMs = Number.NEGATIVE_INFINITY;
      for (const run of [...told].sort((a, b) => a.toMs - b.toMs)) {
        // Nothing was told to have run up to its start: work done on a day between two runs stands at the hours between them.
        readings.push({ atMs: Math.max(endMs, run.fromMs), hours, about: false });
        hours += (run.toMs - run.fromMs) / hourMs;
        endMs = run.toMs;
        readings.push({ atMs: run.toMs, hours, about: false });
      }
    }
    if (readings.length === 0) readings.push({ atMs: startMs, hours: 0, about: false });
  }
  const notUsed = facts.notUsed.map((told) => ({ fromMs: told.sinceMs, toMs: told.toldAtMs }));
  return arrangeEvidence({
    readings,
    changes,
    runs,
    coverage: facts.coverage,
    notUsed,
    meterRatioKnown: meter.kind === 'none',
    meterCounts: meter.kind === 'meter' ? meter.counts : 'clock',
    expect: machine.expect,
    hemisphere,
  });
}

/** Sorts, carries over replaced meters, levels falling readings to the newer one, and unites spans.
 *  @param raw  readings on the meter in use at their own instant, in any order */
export function arrangeEvidence(raw: Evidence & { readonly changes: readonly Change[] }): Evidence {
  const { changes, ...rest } = raw;
  const readings = raw.readings.map((reading) => ({
    ...reading,
    hours: carryHours(changes, reading.hours, reading.atMs),
  }));
  for (const change of changes)
    readings.push({ atMs: change.atMs, hours: carryHours(changes, change.firstHours, change.atMs), about: false });
  readings.sort((a, b) => a.atMs - b.atMs || a.hours - b.hours);
  for (let i = readings.length - 2; i >= 0; i -= 1) {
    const [reading, next] = [readings[i], readings[i + 1]];
    if (reading !== undefined && next !== undefined && reading.hours > next.hours)
      readings[i] = { ...reading, hours: next.hours };
  }
  return {
    ...rest,
    readings,
    runs: uniteSpans(raw.runs),
    coverage: uniteSpans(raw.coverage),
    notUsed: uniteSpans(raw.notUsed),
  };
}

/** Arranged evidence with one more reading, as if it had been gathered with it: in its place, levelled to the newer ones, and
 *  the older ones levelled to it. Copies the list and looks at few of its readings.
 *  @param changes  when meters of this machine were replaced
 *  @param reading  hours on the meter in use at its instant */
export function withReading(evidence: Evidence, changes: readonly Change[], reading: EvidenceReading): Evidence {
  const carried = carryHours(changes, reading.hours, reading.atMs);
  const place =
    1 +
    evidence.readings.findLastIndex((r) => r.atMs < reading.atMs || (r.atMs === reading.atMs && r.hours <= carried));
  const hours = Math.min(carried, evidence.readings[place]?.hours ?? carried);
  const readings = [...evidence.readings];
  readings.splice(place, 0, { atMs: reading.atMs, hours, about: reading.about });
  for (let i = place - 1; i >= 0; i -= 1) {
    const older = readings[i];
    if (older === undefined || older.hours <= hours) break;
    readings[i] = { ...older, hours };
  }
  return { ...evidence, readings };
}

/** Hours as the meter in use now would have shown them.
 *  @param changes  when meters were replaced, in any order
 *  @param hours    on the meter that was in use at `atMs`
 *  @returns        negative where an old meter had more hours behind it than the new one shows */
export function carryHours(changes: readonly Change[], hours: number, atMs: number): number {
  let carried = hours;
  for (const change of changes) if (change.atMs > atMs) carried += change.firstHours - change.lastHours;
  return carried;
}

/** Short text that is equal for equal evidence: a fit may be kept as long as it stays the same.
 *  Two 32-bit sums of all numbers (FNV-1a, from memory), with the counts in clear. */
export function evidenceKey(evidence: Evidence): string {
  const scratch = new Float64Array(1);
  const scratchBytes = new Uint8Array(scratch.buffer);
  let a = 0x811c9dc5;
  let b = 0x01234567;
  const mix = (value: number) => {
    scratch[0] = value;
    for (const byte of scratchBytes) {
      a = Math.imul(a ^ byte, 0x01000193);
      b = Math.imul(b ^ byte, 0x01000197) + 0x9e37;
    }
  };
  for (const reading of evidence.readings) {
    mix(reading.atMs);
    mix(reading.hours);
    mix(reading.about ? 1 : 0);
  }
  for (const spans of [evidence.runs, evidence.coverage, evidence.notUsed]) {
    mix(spans.length);
    for (const span of spans) {
      mix(span.fromMs);
      mix(span.toMs);
    }
  }
  const counts = `${evidence.readings.length}.${evidence.runs.length}.${evidence.coverage.length}.${evidence.notUsed.length}`;
  const words = `${evidence.expect.hoursPerYear ?? '?'}.${evidence.expect.season}.${evidence.hemisphere}`;
  const meter = `${evidence.meterCounts}.${evidence.meterRatioKnown ? 'known' : 'learnt'}`;
  return `${counts}.${words}.${meter}.${(a >>> 0).toString(36)}.${(b >>> 0).toString(36)}`;
}
