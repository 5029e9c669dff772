import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { estimateHours, type HoursEstimate } from '../hours/estimate.js';
import { type Evidence, gatherEvidence } from '../hours/evidence.js';

/** Keeps the last fit of each machine by its evidence, so that an unchanged machine is not fitted again. Handed in by whoever
 *  looks repeatedly; the answers are the same without it. */
export interface Memory {
  /** Estimates by machine id, each with the evidence that it rests on. */
  readonly fits: Map<string, { readonly evidence: string; readonly estimate: HoursEstimate | null }>;
}

/** A memory that holds nothing yet.
 *  Source: own design. */
export function newMemory(): Memory {
  return { fits: new Map() };
}

/** The estimate of a machine's hours, from memory where its evidence is the same as last time.
 *  @param nowMs   evidence later than this is left out
 *  @param memory  absent: fitted anew
 *  @returns null where no reading and no run is known
 *  Source: own design. */
export function recallHours(
  machine: Machine,
  facts: MachineFacts,
  hemisphere: 'north' | 'south',
  nowMs: number,
  memory?: Memory,
): HoursEstimate | null {
  const evidence = gatherEvidence(machine, facts, hemisphere);
  if (memory === undefined) return estimateHours(evidence, nowMs);
  const key = evidenceKey(evidence, nowMs);
  const known = memory.fits.get(machine.id);
  if (known?.evidence === key) return known.estimate;
  const estimate = estimateHours(evidence, nowMs);
  memory.fits.set(machine.id, { evidence: key, estimate });
  return estimate;
}

/** All of the evidence as text, and whether any of it lies ahead of now and so is not yet used. */
function evidenceKey(evidence: Evidence, nowMs: number): string {
  const lastMs = Math.max(
    Number.NEGATIVE_INFINITY,
    evidence.readings.at(-1)?.atMs ?? Number.NEGATIVE_INFINITY,
    ...[evidence.runs, evidence.coverage, evidence.notUsed].map(
      (spans) => spans.at(-1)?.toMs ?? Number.NEGATIVE_INFINITY,
    ),
  );
  return `${lastMs > nowMs ? nowMs : 'all'} ${JSON.stringify(evidence)}`;
}
