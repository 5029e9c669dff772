import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  machineWith,
  meterHours,
  moment,
  runningWords,
  runSeconds,
  startMs,
  voltage,
} from '../../../tests/stage/feeds.js';
import { parseZone } from '../../domain/day.js';
import type { Feed } from '../../domain/machine.js';
import { decode } from '../decode/decode.js';
import { type FeedState, parseFeedState, resumeState } from '../state.js';
import { count } from './count.js';

const zone = parseZone('Europe/Lisbon');

interface Arrival {
  /** Seconds after the start. */
  readonly at: number;
  readonly payload: string;
  readonly retain?: boolean;
  readonly dup?: boolean;
  readonly isWaited?: boolean;
  readonly boot?: string;
}

/** Counts every arrival, each on the state as the store gives it back; answers the total after each, seconds. */
function totalsAfter(feed: Feed, arrivals: readonly Arrival[]): number[] {
  let state: FeedState = resumeState(machineWith(feed), feed, null);
  return arrivals.map(({ at, payload, retain = false, dup = false, isWaited = false, boot = 'first' }) => {
    const said = decode(feed, Buffer.from(payload), zone);
    if (said.kind !== 'refused') {
      const counted = count(feed, state, said, moment(at, boot), { retain, dup, isWaited });
      if (counted.kind !== 'refused') {
        const kept = parseFeedState(JSON.stringify(counted.state));
        if (kept === null) throw new Error('the state cannot be read back');
        state = kept;
      }
    }
    return state.totalMs / 1000;
  });
}

function expectNeverFalling(totals: readonly number[]): void {
  for (const [i, total] of totals.entries()) expect(total).toBeGreaterThanOrEqual(totals[i - 1] ?? 0);
}

const payloads = {
  running: fc.constantFrom('1', '0', 'run', 'stop', 'perhaps'),
  'run-seconds': fc.oneof(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 0, max: 90_000 })).map(String),
  'meter-hours': fc.double({ min: 0, max: 60, noNaN: true }).map((hours) => hours.toFixed(1)),
  voltage: fc.double({ min: 11, max: 15, noNaN: true }).map((volts) => volts.toFixed(2)),
};
/** Clocks that differ a little, a meter that rounds; a counter's fall may have begun a minute before it was expected. */
const slackSeconds = { running: 5, 'run-seconds': 5, 'meter-hours': 360, voltage: 5 };
const feeds: readonly Feed[] = [runningWords, runSeconds, meterHours, voltage];

describe.each(feeds)('a $kind feed, whatever arrives', (feed) => {
  test('never falls, and never counts more than time has passed', () => {
    const arrival = fc.record({
      wait: fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 30 }), fc.integer({ min: 0, max: 4000 })),
      payload: payloads[feed.kind],
      retain: fc.boolean(),
      dup: fc.boolean(),
      restartsService: fc.integer({ min: 0, max: 9 }).map((die) => die === 0),
    });
    fc.assert(
      fc.property(fc.array(arrival, { minLength: 1, maxLength: 60 }), (all) => {
        let at = 0;
        let boot = 0;
        let falls = 0;
        const arrivals = all.map(({ wait, payload, retain, dup, restartsService }, i): Arrival => {
          if (i > 0) at += wait;
          if (restartsService) boot += 1;
          if (i > 0 && Number(payload) < Number(all[i - 1]?.payload)) falls += 1;
          return { at, payload, retain, dup, boot: `boot ${boot}` };
        });
        const totals = totalsAfter(feed, arrivals);
        expectNeverFalling(totals);
        const slack = slackSeconds[feed.kind] + (feed.kind === 'run-seconds' ? 60 * falls : 0);
        for (const [i, total] of totals.entries()) {
          expect(total).toBeLessThanOrEqual((arrivals[i]?.at ?? 0) - (arrivals[0]?.at ?? 0) + slack);
        }
      }),
    );
  });
});

/** A true life: stretches of running and standing, some starts of the counter from zero, a report after each stretch. */
const life = fc.array(
  fc.record({
    runs: fc.integer({ min: 0, max: 300 }),
    stands: fc.integer({ min: 1, max: 300 }),
    restarts: fc.integer({ min: 0, max: 4 }).map((die) => die === 0),
  }),
  { minLength: 1, maxLength: 40 },
);

/** Which report arrives next, of those that are not further from their turn than the window: any order, repetition and loss. */
const deliveries = fc.array(
  fc.record({ of: fc.integer({ min: 0, max: 39 }), dup: fc.boolean(), late: fc.integer({ min: 0, max: 40 }) }),
  {
    minLength: 1,
    maxLength: 120,
  },
);

function lived(
  stretches: readonly { readonly runs: number; readonly stands: number; readonly restarts: boolean }[],
  firstSeconds: number,
) {
  let at = 0;
  let counter = firstSeconds;
  let ran = 0;
  const reports = [{ at, counter, ran }];
  for (const { runs, stands, restarts } of stretches) {
    if (restarts) counter = 0;
    counter += runs;
    ran += runs;
    at += runs + stands;
    reports.push({ at, counter, ran });
  }
  return reports;
}

/** Arrivals of a life: after its first report any of the others, as often as it likes, none before it was sent. */
function deliver<Report extends { readonly at: number }>(
  reports: readonly Report[],
  order: readonly { readonly of: number; readonly dup: boolean; readonly late: number }[],
): readonly { readonly at: number; readonly dup: boolean; readonly report: Report }[] {
  const [first] = reports;
  if (first === undefined) return [];
  let at = first.at;
  const arrived = order.map(({ of, dup, late }) => {
    const report = reports[1 + (of % Math.max(1, reports.length - 1))] ?? first;
    at = Math.max(at, report.at) + late;
    return { at, dup, report };
  });
  return [{ at: first.at, dup: false, report: first }, ...arrived];
}

test('a counter that never restarts counts the rise from its first to its highest value, in any order, with repeats and losses', () => {
  fc.assert(
    fc.property(life, deliveries, (stretches, order) => {
      const reports = lived(
        stretches.map((stretch) => ({ ...stretch, restarts: false })),
        5_000_000,
      );
      const arrived = deliver(reports, order);
      const totals = totalsAfter(
        runSeconds,
        arrived.map(({ at, dup, report }) => ({ at, dup, payload: String(report.counter) })),
      );
      expectNeverFalling(totals);
      expect(totals.at(-1)).toBe(Math.max(...arrived.map(({ report }) => report.ran)));
    }),
  );
});

test('a counter that restarts and tells its own time counts no more than truly ran, in any order, with repeats and losses', () => {
  const feed: Feed = { ...runSeconds, pointer: '/seconds', timePointer: '/at' };
  fc.assert(
    fc.property(life, deliveries, (stretches, order) => {
      const reports = lived(stretches, 0);
      const arrived = deliver(reports, order);
      const totals = totalsAfter(
        feed,
        arrived.map(({ at, dup, report }) => ({
          at,
          dup,
          payload: JSON.stringify({ seconds: report.counter, at: startMs / 1000 + report.at }),
        })),
      );
      expectNeverFalling(totals);
      expect(totals.at(-1)).toBeLessThanOrEqual(Math.max(...arrived.map(({ report }) => report.ran)));
    }),
    { numRuns: 1000 },
  );
});

test('a meter counts from its first to its highest hours, in any order, with repeats and losses', () => {
  fc.assert(
    fc.property(life, deliveries, (stretches, order) => {
      const arrived = deliver(lived(stretches, 0), order);
      const shown = (ran: number) => 200 + Math.floor(ran / 360) / 10;
      const totals = totalsAfter(
        meterHours,
        arrived.map(({ at, dup, report }) => ({ at, dup, payload: shown(report.ran).toFixed(1) })),
      );
      expectNeverFalling(totals);
      const highest = Math.max(...arrived.map(({ report }) => shown(report.ran)));
      expect(totals.at(-1)).toBeCloseTo((highest - 200) * 3600, 3);
    }),
  );
});

test('words and volts that tell their own time count once what is repeated or overtaken, and end between first and last', () => {
  const words: Feed = { ...runningWords, pointer: '/v', timePointer: '/at' };
  const volts: Feed = { ...voltage, pointer: '/v', timePointer: '/at' };
  fc.assert(
    fc.property(life, deliveries, fc.constantFrom(words, volts), (stretches, order, feed) => {
      const reports = lived(stretches, 0).map((report, i, all) => ({
        ...report,
        isRunning: report.ran > (all[i - 1]?.ran ?? 0),
      }));
      const arrived = deliver(reports, order);
      const payloadOf = ({ at, isRunning }: { readonly at: number; readonly isRunning: boolean }) =>
        JSON.stringify({
          v: feed.kind === 'voltage' ? (isRunning ? 14 : 12.5) : isRunning ? 'run' : 'stop',
          at: startMs / 1000 + at,
        });
      const all = arrived.map(({ at, dup, report }) => ({ at, dup, payload: payloadOf(report) }));
      const totals = totalsAfter(feed, all);
      expectNeverFalling(totals);
      expect(totals.at(-1)).toBeLessThanOrEqual(Math.max(...arrived.map(({ report }) => report.at)) + 5);
      // The same once more, one after the other: nothing is new.
      const twice = totalsAfter(feed, [...all, ...all.map((arrival) => ({ ...arrival, at: arrived.at(-1)?.at ?? 0 }))]);
      expect(twice.at(-1)).toBe(totals.at(-1));
    }),
  );
});
