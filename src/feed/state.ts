import { z } from 'zod';
import type { Feed, Machine } from '../domain/machine.js';
import { noMeterYet } from './count/count-meter-hours.js';
import { noCounterYet } from './count/count-run-seconds.js';
import { standsStill } from './count/count-running.js';
import { noVoltageYet } from './count/count-voltage.js';
import { nothingPlaced } from './count/place-runs.js';

const moment = z.object({ atMs: z.number(), monotonicMs: z.number(), boot: z.string(), believable: z.boolean() });
const sign = z.object({ moment, deviceAtMs: z.number().nullable() });
const allowance = z.object({ leftMs: z.number(), since: moment });
const deviceTime = z.number().nullable().default(null);
const track = z.object({ maxSeconds: z.number(), at: moment, deviceAtMs: deviceTime, sinceDeviceMs: deviceTime });
const span = z.object({ fromMs: z.number(), toMs: z.number() });
const running = z.object({
  kind: z.literal('running'),
  isRunning: z.boolean(),
  isUnheard: z.boolean().default(false),
  last: sign.nullable(),
  allowance: allowance.nullable(),
});

const feedState = z.object({
  /** Configuration that this state belongs to; under another one, counting starts from a new baseline and the total stays. */
  source: z.string(),
  /** Run time counted since the feed was set up, whole milliseconds; never falls. */
  totalMs: z.number().int().nonnegative(),
  /** Last sign of life by a believable clock, UTC milliseconds. */
  lastAtMs: z.number().nullable(),
  /** It said itself that it goes, or its last will did, and gave no sign of life since. */
  isAway: z.boolean().default(false),
  counting: z.discriminatedUnion('kind', [
    running,
    z.object({
      kind: z.literal('run-seconds'),
      track: track.nullable(),
      before: track.nullable(),
      isDoubtful: z.boolean(),
      isRestartSure: z.boolean().default(false),
      allowance: allowance.nullable(),
    }),
    z.object({
      kind: z.literal('meter-hours'),
      lastHours: z.number().nullable(),
      allowance: allowance.nullable(),
    }),
    z.object({
      kind: z.literal('voltage'),
      run: running,
      turning: sign.nullable(),
      lastSample: sign.nullable(),
    }),
  ]),
  placing: z.object({ open: span.nullable(), floorMs: z.number().nullable(), unplacedMs: z.number() }),
  /** meter-hours: the reading that was handed out last. */
  given: z.object({ hours: z.number(), atMs: z.number() }).nullable(),
});

/** What has to be kept of a feed so that a restart counts exactly once: plain data, JSON text in the store. */
export type FeedState = Readonly<z.infer<typeof feedState>>;

/** State from the text in the store; null where it is no state of this version, then counting starts from a new baseline. */
export function parseFeedState(text: string): FeedState | null {
  try {
    const parsed = feedState.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

/** The configuration that a state depends on: what is read, how it is scaled, and which meter it stands on. */
export function sourceOf(machine: Machine, feed: Feed): string {
  const { aliveTopic: _alive, silentAfterMinutes: _silence, ...reads } = feed;
  const words = feed.kind === 'running' ? { yes: undefined, no: undefined } : {};
  const meters = feed.kind === 'meter-hours' && machine.meter.kind === 'meter' ? machine.meter.changes.length : 0;
  return JSON.stringify({ ...reads, ...words, meters });
}

/** State to start from: the one kept, if it belongs to this configuration; else a new baseline under the same total. */
export function resumeState(machine: Machine, feed: Feed, kept: FeedState | null): FeedState {
  const source = sourceOf(machine, feed);
  if (kept !== null && kept.source === source && kept.counting.kind === feed.kind) return kept;
  const floorMs = kept?.placing.open?.toMs ?? kept?.placing.floorMs ?? null;
  return {
    source,
    totalMs: kept?.totalMs ?? 0,
    lastAtMs: kept?.lastAtMs ?? null,
    isAway: kept?.isAway ?? false,
    counting: nothingYet(feed),
    placing: { ...nothingPlaced, floorMs, unplacedMs: kept?.placing.unplacedMs ?? 0 },
    given: null,
  };
}

function nothingYet(feed: Feed): FeedState['counting'] {
  switch (feed.kind) {
    case 'running':
      return standsStill;
    case 'run-seconds':
      return noCounterYet;
    case 'meter-hours':
      return noMeterYet;
    case 'voltage':
      return noVoltageYet;
  }
}
