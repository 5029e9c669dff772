import { type Day, dayOf, formatInstant, timeOfDayAt } from '../domain/day.js';
import { hearSensor } from '../domain/feed-silence.js';
import type { Feed, Machine } from '../domain/machine.js';
import type { MachineOutlook } from '../domain/results/outlook.js';
import { isRunningNow } from '../feed/count/count.js';
import { type FeedState, parseFeedState, sourceOf } from '../feed/state.js';
import { feedMemory } from '../ledger/enter-runs.js';
import { sayDay } from '../words/dates.js';
import { sayRunTime } from '../words/hours.js';
import { saySensorRatio, saySensorSilence } from '../words/sensor.js';
import type { At } from './at.js';
import { type KnownFeed, watchFeed } from './feed-watch.js';
import { machineNamed, withService } from './open-home.js';
import { BadInput, type Output, print } from './output.js';

/** As typed. */
export interface FeedOptions {
  readonly watch?: true;
  readonly json?: true;
}

/** `shedbell feed MACHINE`: what its sensor has counted; with `--watch` what arrives, until Ctrl-C. */
export function runFeed(at: At, named: string, options: FeedOptions, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const machine = machineNamed(home, named);
    const { feed } = machine;
    if (feed === undefined) {
      throw new BadInput(
        `machines/${machine.id}.yaml sets up no sensor. Write, for example: feed: { kind: running, topic: shed/${machine.id}/run }`,
      );
    }
    const memory = feedMemory(service.books, machine.id);
    const known = { home, machine, feed, kept: memory === null ? null : parseFeedState(memory) };
    if (options.watch === true) return watchFeed(at, known, options.json === true, out);
    const { today, nowMs, machines } = service.latest();
    const ahead = machines.find((one) => one.machine === machine.id) ?? null;
    print(out, options.json === true, stateDocument(known, ahead, nowMs), stateLines(known, ahead, nowMs, today));
    return 0;
  });
}

function stateDocument({ machine, feed, kept }: KnownFeed, ahead: MachineOutlook | null, nowMs: number) {
  const total = ahead?.feed ?? null;
  const heard = hearSensor(machine, total, nowMs);
  return {
    machine: machine.id,
    kind: feed.kind,
    topic: feed.topic,
    runSeconds: total?.runSeconds ?? 0,
    lastAt: instantOf(total?.lastAtMs ?? null),
    running: heard?.kind === 'heard' ? runsNow(machine, feed, kept) : null,
    silentSince: instantOf(heard?.kind === 'silent' ? heard.sinceMs : null),
    sensorPerMeterHour: ahead?.feedRatio ?? null,
  };
}

function instantOf(atMs: number | null): string | null {
  return atMs === null ? null : formatInstant(atMs);
}

function stateLines(
  { home, machine, feed, kept }: KnownFeed,
  ahead: MachineOutlook | null,
  nowMs: number,
  today: Day,
): string[] {
  const { zone, locale, mqtt } = home.household;
  const total = ahead?.feed ?? null;
  const heard = hearSensor(machine, total, nowMs);
  const lines = [`${machine.name}: ${feed.kind} on ${feed.topic}`];
  if (mqtt === undefined) lines.push('  household.yaml names no broker (mqtt:), so nothing can be heard.');
  if (total !== null) {
    lines.push(`  It has counted ${sayRunTime(total.runSeconds)} since it was set up.`);
  }
  if (total?.lastAtMs != null && heard?.kind === 'heard') {
    const day = dayOf(total.lastAtMs, zone);
    const time = timeOfDayAt(total.lastAtMs, zone);
    const runs = runsNow(machine, feed, kept);
    const now = runs === null ? '' : runs ? ' The engine runs.' : ' The engine stands still.';
    lines.push(`  Last heard ${day === today ? 'today' : `on ${sayDay(day, today, locale)}`} at ${time}.${now}`);
  }
  const silence = heard === null ? null : saySensorSilence(heard, today, zone, locale);
  if (silence !== null) lines.push(`  ${silence}`);
  if (ahead?.feedRatio != null) lines.push(`  ${saySensorRatio(ahead.feedRatio)}`);
  lines.push(`What arrives now: shedbell feed ${machine.id} --watch`);
  return lines;
}

/** Whether the engine runs, as far as the feed that is set up now has told; what another one told says nothing about it. */
function runsNow(machine: Machine, feed: Feed, kept: FeedState | null): boolean | null {
  return kept === null || kept.source !== sourceOf(machine, feed) ? null : isRunningNow(kept);
}
