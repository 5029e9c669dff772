import type { MessageHandler } from '../../src/broker/connection.js';
import { parseZone } from '../../src/domain/day.js';
import type { Span } from '../../src/domain/facts.js';
import type { Home } from '../../src/domain/home.js';
import type { Feed, Machine } from '../../src/domain/machine.js';
import type { Log } from '../../src/domain/outside.js';
import type { Moment } from '../../src/feed/count/moment.js';
import type { FeedEntry, FeedHand } from '../../src/feed/hand.js';
import { type FeedState, parseFeedState } from '../../src/feed/state.js';

/** Noon of a summer day, from which test clocks count. */
export const startMs = Date.UTC(2031, 5, 14, 12);

/** A moment `seconds` after the start, in a process that started with it. */
export function moment(seconds: number, boot = 'first'): Moment {
  return { atMs: startMs + seconds * 1000, monotonicMs: seconds * 1000, boot, believable: true };
}

const common = { topic: 'yard/mower/run', scale: 1, offset: 0, silentAfterMinutes: 15 };
export const runSeconds: Feed = { ...common, kind: 'run-seconds' };
export const runningWords: Feed = { ...common, kind: 'running', yes: ['1', 'true', 'run'], no: ['0', 'false', 'stop'] };
export const meterHours: Feed = { ...common, kind: 'meter-hours' };
export const voltage: Feed = { ...common, kind: 'voltage', aboveVolts: 13.2, belowVolts: 12.9, holdSeconds: 60 };

/** A machine of our own invention with this feed. */
export function machineWith(feed: Feed | null, id = 'yard-mower'): Machine {
  return {
    id,
    name: 'The mower in the yard',
    planId: 'mower',
    has: [],
    covers: [],
    places: [],
    meter: { kind: 'meter', counts: 'clock', changes: [] },
    expect: { season: 'summer' },
    ...(feed === null ? {} : { feed }),
    since: '2031-01-01' as Machine['since'],
    gone: false,
    last: {},
    never: {},
    tasks: [],
  };
}

export function homeWith(machines: readonly Machine[]): Home {
  return {
    household: {
      name: 'Alder Lane',
      zone: parseZone('Europe/Lisbon'),
      units: 'metric',
      locale: 'en-GB',
      hemisphere: 'north',
      people: [],
      workingDays: ['sat'],
      daysOff: [],
      evening: '18:30' as Home['household']['evening'],
      quiet: { from: '21:30', to: '07:00' } as Home['household']['quiet'],
      http: { host: '127.0.0.1', port: 0 },
      backup: { folder: 'data/backups', keep: 14 },
      setUpMinutes: 20,
    },
    machines,
  };
}

/** A hand that keeps entries as the store does: state as text, spans united, the total as it came. */
export interface KeptFeeds extends FeedHand {
  readonly entries: { machine: string; entry: FeedEntry }[];
  runs(machine: string): readonly Span[];
  coverage(machine: string): readonly Span[];
  totalSeconds(machine: string): number;
  readings(machine: string): readonly { hours: number; atMs: number }[];
  /** Makes the next `times` calls of `keep` fail before anything is kept. */
  failNext(times: number): void;
}

export function keepInMemory(): KeptFeeds {
  const states = new Map<string, string>();
  const refusals = new Map<string, string>();
  const entries: { machine: string; entry: FeedEntry }[] = [];
  let failures = 0;
  const of = (machine: string) => entries.filter((kept) => kept.machine === machine).map((kept) => kept.entry);
  return {
    entries,
    load(machine): FeedState | null {
      const text = states.get(machine);
      return text === undefined ? null : parseFeedState(text);
    },
    keep(machine, entry) {
      if (failures > 0) {
        failures -= 1;
        throw new Error('the disk is full');
      }
      states.set(machine, JSON.stringify(entry.state));
      entries.push({ machine, entry });
    },
    refusals: (machine) => refusals.get(machine) ?? null,
    keepRefusals: (machine, text) => void refusals.set(machine, text),
    runs: (machine) => unite(of(machine).flatMap((entry) => entry.runs)),
    coverage: (machine) => unite(of(machine).flatMap((entry) => entry.coverage)),
    totalSeconds: (machine) => of(machine).at(-1)?.totalSeconds ?? 0,
    readings: (machine) => of(machine).flatMap((entry) => entry.reading ?? []),
    failNext(times) {
      failures = times;
    },
  };
}

/** A broker in memory: `say` hands a message to every handler of a topic, as one that was delivered. */
export function fakeBroker() {
  const handlers = new Map<string, Set<MessageHandler>>();
  const listeners = new Set<(isSessionKept: boolean) => void>();
  return {
    onConnect(listener: (isSessionKept: boolean) => void): () => void {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    /** The connection was lost and is back; what was sent meanwhile was kept for us, or not. */
    comeBack(isSessionKept: boolean): void {
      for (const listener of listeners) listener(isSessionKept);
    },
    subscribe(topic: string, handler: MessageHandler): () => void {
      const all = handlers.get(topic) ?? new Set();
      all.add(handler);
      handlers.set(topic, all);
      return () => all.delete(handler);
    },
    say(topic: string, payload: string | Buffer, retain = false, qos: 0 | 1 = 1): void {
      for (const handler of handlers.get(topic) ?? [])
        handler(topic, Buffer.from(payload), { retain, dup: false, qos });
    },
    listens: (topic: string): boolean => (handlers.get(topic)?.size ?? 0) > 0,
  };
}

export interface LogLine {
  readonly level: string;
  readonly event: string;
  readonly fields: Readonly<Record<string, unknown>>;
}

/** A log that remembers its lines; `said` resolves with the first line, so far or to come, of which a part matches. */
export function rememberLog(): Log & { readonly lines: readonly LogLine[]; said(pattern: RegExp): Promise<LogLine> } {
  const lines: LogLine[] = [];
  const waiting = new Set<(line: LogLine) => void>();
  const at = (level: string) => (fields: LogLine['fields'], event: string) => {
    const line = { level, event, fields };
    lines.push(line);
    for (const look of [...waiting]) look(line);
  };
  const matches = (line: LogLine, pattern: RegExp) =>
    pattern.test(`${line.level} ${line.event} ${JSON.stringify(line.fields)}`);
  return {
    lines,
    said: (pattern) =>
      new Promise((resolve) => {
        const look = (line: LogLine) => {
          if (!matches(line, pattern)) return;
          waiting.delete(look);
          resolve(line);
        };
        waiting.add(look);
        for (const line of lines) look(line);
      }),
    error: at('error'),
    warn: at('warn'),
    info: at('info'),
    debug: at('debug'),
  };
}

/** Length of all spans together, seconds. */
export function lengthSeconds(spans: readonly Span[]): number {
  return spans.reduce((sum, span) => sum + (span.toMs - span.fromMs), 0) / 1000;
}

function unite(spans: readonly Span[]): readonly Span[] {
  const united: Span[] = [];
  for (const span of [...spans].sort((a, b) => a.fromMs - b.fromMs)) {
    const last = united.at(-1);
    if (last !== undefined && span.fromMs <= last.toMs) {
      united[united.length - 1] = { fromMs: last.fromMs, toMs: Math.max(last.toMs, span.toMs) };
    } else united.push(span);
  }
  return united;
}
