import { z } from 'zod';
import { minuteMs } from '../domain/day.js';
import type { Log } from '../domain/outside.js';
import { type Refused, refusalCodes } from './errors.js';
import type { FeedHand } from './hand.js';

/** A message that changed nothing because it could not be right, for showing. */
export interface Refusal extends Omit<Refused, 'kind'> {
  readonly machine: string;
  readonly topic: string;
  readonly atMs: number;
  /** The beginning of the payload, readable characters only. */
  readonly sample: string;
}

export interface Refusals {
  note(machine: string, topic: string, payload: Uint8Array, refused: Refused, atMs: number, monotonicMs: number): void;
  /** Newest first, at most 20 of each machine; the newest few of an earlier start are among them. */
  recent(machine?: string): readonly Refusal[];
  /** Since the service started. */
  count(machine: string): number;
  /** Finds those of a machine that were kept before this start. */
  resume(machine: string): void;
  /** Keeps what is new: every five minutes at most, so that a sensor that sends nonsense does not wear out a memory card. */
  keep(monotonicMs: number): void;
  /** Keeps what is new now. */
  close(): void;
}

const mostKept = 20;
/** Of each machine, so many outlive a restart. */
const mostStored = 3;
const storedEveryMs = 5 * minuteMs;
/** One log line for each machine and kind of refusal in this time. */
const quietMs = 600_000;

/** Counts refused messages, keeps the last ones, and logs at a limited rate. */
export function keepRefusals(log: Log, hand: Pick<FeedHand, 'refusals' | 'keepRefusals'>): Refusals {
  const kept = new Map<string, Refusal[]>();
  const unstored = new Set<string>();
  let storedAtMs: number | null = null;
  const counts = new Map<string, number>();
  const logged = new Map<string, { readonly monotonicMs: number; readonly unlogged: number }>();
  return {
    note(machine, topic, payload, refused, atMs, monotonicMs) {
      const { code, reason } = refused;
      const sample = sampleOf(payload);
      counts.set(machine, (counts.get(machine) ?? 0) + 1);
      kept.set(
        machine,
        [{ machine, topic, atMs, sample, code, reason }, ...(kept.get(machine) ?? [])].slice(0, mostKept),
      );
      unstored.add(machine);
      const key = `${machine} ${code}`;
      const last = logged.get(key);
      if (last !== undefined && monotonicMs - last.monotonicMs < quietMs) {
        logged.set(key, { ...last, unlogged: last.unlogged + 1 });
        return;
      }
      log.warn(
        { machine, topic, code, reason, sample, unlogged: last?.unlogged ?? 0 },
        'a message of a feed was refused',
      );
      logged.set(key, { monotonicMs, unlogged: 0 });
    },
    recent: (machine) =>
      machine === undefined ? [...kept.values()].flat().sort((a, b) => b.atMs - a.atMs) : (kept.get(machine) ?? []),
    count: (machine) => counts.get(machine) ?? 0,
    resume(machine) {
      if (!kept.has(machine)) kept.set(machine, [...parseRefusals(hand.refusals(machine))]);
    },
    keep(monotonicMs) {
      if (unstored.size === 0 || (storedAtMs !== null && monotonicMs - storedAtMs < storedEveryMs)) return;
      storedAtMs = monotonicMs;
      close();
    },
    close,
  };

  function close(): void {
    for (const machine of unstored) {
      hand.keepRefusals(machine, JSON.stringify((kept.get(machine) ?? []).slice(0, mostStored)));
      unstored.delete(machine);
    }
  }
}

const stored = z.array(
  z.object({
    machine: z.string(),
    topic: z.string(),
    atMs: z.number(),
    sample: z.string(),
    code: z.enum(refusalCodes),
    reason: z.string(),
  }),
);

function parseRefusals(text: string | null): readonly Refusal[] {
  try {
    return text === null ? [] : (stored.safeParse(JSON.parse(text)).data ?? []);
  } catch {
    return [];
  }
}

/** The first 80 bytes with anything unreadable shown as a dot. */
export function sampleOf(payload: Uint8Array): string {
  return new TextDecoder().decode(payload.subarray(0, 80)).replace(/[^\p{L}\p{N}\p{P}\p{S} ]/gu, '·');
}
