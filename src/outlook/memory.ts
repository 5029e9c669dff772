import type { MachineFacts, Span } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { type CourseMemory, type DayEnds, newCourseMemory } from '../forecast/course-memory.js';
import { estimateHours, type HoursEstimate } from '../hours/estimate.js';
import { type Evidence, evidenceKey, gatherEvidence } from '../hours/evidence.js';
import { remember } from '../hours/remember.js';
import { newTraceMemory, type TraceMemory } from './trace.js';

/** Keeps the last fit of each machine by its evidence, with all that was computed from it, so that looking again at an unchanged machine
 *  costs little. Handed in by whoever looks repeatedly; the answers are the same without it. */
export interface Memory {
  /** By machine id. */
  readonly fits: Map<string, Remembered>;
  /** By time zone. */
  readonly dayEnds: Map<string, DayEnds>;
}

/** An estimate with what was computed from it. */
export interface Remembered {
  readonly estimate: HoursEstimate | null;
  readonly courses: CourseMemory;
  readonly trace: TraceMemory;
  /** The evidence and the settings that the rest stands on. */
  readonly key: string;
  /** What the evidence was gathered from: while these are the same objects it need not be gathered again. */
  readonly from: { readonly machine: Machine; readonly facts: MachineFacts; readonly household: Household };
  /** Instant of the newest evidence. */
  readonly newestMs: number;
}

/** A memory that holds nothing yet.
 *  Source: own design. */
export function newMemory(): Memory {
  return { fits: new Map(), dayEnds: new Map() };
}

/** The estimate of a machine's hours and what was computed from it, from memory where its evidence is the same as last time.
 *  @param nowMs   evidence later than this is left out
 *  @param memory  absent: all anew
 *  @returns       an estimate of null where no reading and no run is known
 *  Source: own design. */
export function recallHours(
  machine: Machine,
  facts: MachineFacts,
  household: Household,
  nowMs: number,
  memory: Memory = newMemory(),
): Remembered {
  const known = memory.fits.get(machine.id);
  if (known !== undefined && isFrom(known, machine, facts, household) && known.newestMs <= nowMs) return known;
  const evidence = gatherEvidence(machine, facts, household.hemisphere);
  const newestMs = newestOf(evidence);
  // Evidence ahead of now is not used yet: the fit is then one of this moment alone.
  const key = `${household.zone} ${newestMs > nowMs ? nowMs : 'all'} ${evidenceKey(evidence)}`;
  const from = { machine, facts, household };
  const made: Remembered =
    known?.key === key
      ? { ...known, from, newestMs }
      : {
          estimate: estimateHours(evidence, nowMs),
          courses: newCourseMemory(remember(memory.dayEnds, household.zone, () => new Map<number, number>())),
          trace: newTraceMemory(),
          key,
          from,
          newestMs,
        };
  memory.fits.set(machine.id, made);
  return made;
}

function isFrom({ from, key }: Remembered, machine: Machine, facts: MachineFacts, household: Household): boolean {
  // With evidence ahead of the moment of the fit, the same facts mean something else later.
  const isWhole = key.startsWith(`${household.zone} all `);
  return isWhole && from.machine === machine && from.facts === facts && from.household === household;
}

function newestOf(evidence: Evidence): number {
  const end = (spans: readonly Span[]) => spans.at(-1)?.toMs ?? Number.NEGATIVE_INFINITY;
  const readMs = evidence.readings.at(-1)?.atMs ?? Number.NEGATIVE_INFINITY;
  return Math.max(readMs, end(evidence.runs), end(evidence.coverage), end(evidence.notUsed));
}
