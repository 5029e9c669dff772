/** Something that the script does at an instant. */
export interface Errand {
  readonly atMs: number;
  run(): void;
}

/** What is still to happen, in the order of time; of the same instant, in the order of planning. */
export interface Errands {
  plan(errand: Errand): void;
  /** Instant of the next one, or null. */
  nextMs(): number | null;
  /** Runs all that is due by `nowMs`, and what those plan for by then. */
  runUntil(nowMs: number): void;
}

/** No errands yet. */
export function newErrands(): Errands {
  const waiting: Errand[] = [];
  return {
    plan(errand) {
      const index = waiting.findIndex((other) => other.atMs > errand.atMs);
      waiting.splice(index < 0 ? waiting.length : index, 0, errand);
    },
    nextMs: () => waiting[0]?.atMs ?? null,
    runUntil(nowMs) {
      while (waiting[0] !== undefined && waiting[0].atMs <= nowMs) waiting.shift()?.run();
    },
  };
}
