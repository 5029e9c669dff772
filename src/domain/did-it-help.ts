import { dayMs, hourMs } from './day.js';
import type { MachineFacts, Noticed } from './facts.js';

/** Use after which a person can tell whether it helped, hours. Common practice, no source. */
const enoughUseHours = 0.5;
/** Days after which it is asked even where nobody knows of any use. Common practice, no source. */
const patienceDays = 14;

/** Whether seeing to something noticed helped, to be asked of a person. */
export interface HelpQuestion {
  readonly noticed: Noticed;
  /** When it was seen to. */
  readonly seenToAtMs: number;
  /** From when on it could be asked. */
  readonly sinceMs: number;
}

type Known = Pick<MachineFacts, 'noticed' | 'readings' | 'toldRuns' | 'runs'>;

/** What is to be asked now: of each thing that was seen to and of which nobody has said yet whether it helped, once the machine has
 *  run half an hour since (by meter, by its sensor, or as told), or fourteen days have passed. "Cannot tell yet" is an answer too:
 *  nobody is asked twice about one seeing to.
 *  @param nowMs  UTC milliseconds
 *  @returns      in the order in which it was noticed
 *  Source: common practice, no source. */
export function helpQuestions(facts: Known, nowMs: number): readonly HelpQuestion[] {
  return facts.noticed.flatMap((noticed) => {
    const { seenTo } = noticed;
    if (seenTo === null || noticed.helped.some(({ seenToAtMs }) => seenToAtMs === seenTo.atMs)) return [];
    const sinceMs = Math.min(seenTo.atMs + patienceDays * dayMs, usedEnoughAt(facts, seenTo.atMs));
    return sinceMs > nowMs ? [] : [{ noticed, seenToAtMs: seenTo.atMs, sinceMs }];
  });
}

/** The moment at which what is known of the machine first tells of enough use after `fromMs`; infinite where it does not. */
function usedEnoughAt({ readings, toldRuns, runs }: Known, fromMs: number): number {
  const before = readings.findLast(({ atMs }) => atMs <= fromMs);
  const read = readings.find(
    ({ atMs, hours }) => before !== undefined && atMs > fromMs && hours - before.hours >= enoughUseHours - 1e-9,
  );
  const told = toldRuns.map(({ atMs, minutes }) => ({ fromMs: atMs - (minutes / 60) * hourMs, toMs: atMs }));
  return Math.min(read?.atMs ?? Number.POSITIVE_INFINITY, ranEnoughAt(runs, fromMs), ranEnoughAt(told, fromMs));
}

function ranEnoughAt(runs: readonly { readonly fromMs: number; readonly toMs: number }[], fromMs: number): number {
  let leftMs = enoughUseHours * hourMs;
  for (const run of runs) {
    const startMs = Math.max(run.fromMs, fromMs);
    if (run.toMs <= startMs) continue;
    if (run.toMs - startMs >= leftMs) return startMs + leftMs;
    leftMs -= run.toMs - startMs;
  }
  return Number.POSITIVE_INFINITY;
}
