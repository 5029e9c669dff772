import { describe, expect, test } from 'vitest';
import { addDays, daysBetween, parseDay, parseInstant, parseZone } from '../../src/domain/day.js';
import { gather } from '../../src/ledger/gather.js';
import { LifeStopped } from '../../src/rehearsal/live-through.js';
import type { Policy } from '../../src/rehearsal/policy.js';
import { homeOfOne, rehearseSome, someOil, steady, usedEvenly } from '../stage/rehearsed.js';
import { someTask } from '../stage/small-machine.js';

const from = parseDay('2031-03-01');
const zone = parseZone('Europe/Lisbon');
const evenHour = new Map([['orchard-mower', usedEvenly('2031-03-01', '2031-06-30', 1)]]);

describe('a rehearsal', () => {
  test('tells the same for the same seed, and something else for another', async () => {
    const habits = { ...steady, answersReading: 0.5, delayDays: [1, 4] as const, doesWork: 0.5, buysParts: 0.5 };
    const told = async (seed: number) => JSON.stringify(await rehearseSome({ habits: { ...habits, seed } }));
    const first = await told(7);
    expect(await told(7)).toBe(first);
    expect(await told(8)).not.toBe(first);
  });

  test('judges each service by the true hours', async () => {
    const { services } = await rehearseSome();
    expect(services.length).toBeGreaterThanOrEqual(2);
    let lastHours = 100;
    for (const service of services) {
      // One hour a day from 100 h on the first of March: the meter stands at 100 + d at the end of the d-th day.
      const target = lastHours + 50;
      expect(service).toMatchObject({ machine: 'orchard-mower', task: 'oil', limit: 'hours', intervalHours: 50 });
      expect(service.trueDue).toBe(addDays(from, Math.ceil(target - 100) - 1));
      const before = 100 + daysBetween(from, service.doneOn);
      expect(service.overHours).toBeGreaterThanOrEqual(before - target - 0.01);
      expect(service.overHours).toBeLessThanOrEqual(before + 1 - target);
      expect(service.toleranceHours).toBe(5);
      expect(service.pulledForward).toBe(false);
      // What was read is whole tenths.
      lastHours = Math.floor((target + (service.overHours ?? 0)) * 10 + 1e-3) / 10;
    }
  });

  test('names the limit that truly comes first, also where it was done before that', async () => {
    const tasks = [someTask('belt', { title: 'Belt', every: { hours: 400, months: 2 } })];
    const { services } = await rehearseSome({ home: homeOfOne(tasks) });
    expect(services.length).toBeGreaterThan(0);
    expect(services[0]).toMatchObject({ limit: 'months', trueDue: '2031-05-01', intervalHours: 400 });
    expect((services[0]?.overHours ?? 0) < -300).toBe(true);
  });

  test('counts the days from the notice after which the parts were bought, and none where nothing had to be', async () => {
    const tasks = [someOil, someTask('grease', { title: 'Grease', every: { hours: 50 } })];
    for (const buysParts of [1, 0]) {
      const habits = { ...steady, buysParts };
      const { services, notices } = await rehearseSome({ home: homeOfOne(tasks), habits });
      let doneBefore = '2031-03-01';
      for (const service of services.filter((s) => s.task === 'oil')) {
        const told = notices.filter((n) => n.kind === 'parts' && n.at > doneBefore && n.at < service.doneOn);
        // Who never buys on a parts notice buys on the first call to work: the last parts notice until then counts.
        const call = notices.find((n) => n.kind === 'work' && n.at > doneBefore)?.at ?? '';
        const counts = buysParts === 1 ? told[0] : told.findLast((n) => n.at <= call);
        const day = parseDay(counts?.at.slice(0, 10) ?? '');
        expect(service.partsNoticeLeadDays).toBe(daysBetween(day, service.doneOn));
        expect(service.partsNoticeLeadDays).toBeGreaterThanOrEqual(6);
        doneBefore = service.doneOn;
      }
      expect(doneBefore > '2031-03-01').toBe(true);
      const grease = services.filter((s) => s.task === 'grease');
      expect(grease.length).toBeGreaterThan(0);
      for (const service of grease) expect(service.partsNoticeLeadDays).toBeNull();
    }
  });

  test('lets a visit wait for parts that were not bought before the call to work', async () => {
    const { services, notices } = await rehearseSome({ habits: { ...steady, buysParts: 0 } });
    expect(services.length).toBeGreaterThan(0);
    for (const service of services) {
      // Bought when the work was called for: six days until they are here.
      const called = notices.filter((n) => (n.kind === 'work' || n.kind === 'late') && n.at < service.doneOn);
      expect(
        called.some((n) => daysBetween(parseDay(n.at.slice(0, 10)), service.doneOn) >= 6),
        service.doneOn,
      ).toBe(true);
    }
  });

  test('includes the last day, and nothing after it', async () => {
    const whole = await rehearseSome();
    const last = whole.services.at(-1);
    if (last === undefined) throw new Error('no service');
    const upTo = await rehearseSome({ to: last.doneOn });
    expect(upTo.services).toHaveLength(whole.services.length);
    const before = await rehearseSome({ to: addDays(last.doneOn, -1) });
    expect(before.services).toHaveLength(whole.services.length - 1);
  });

  test('lets machines and days without usage run no hours', async () => {
    const { services, messages } = await rehearseSome({ usage: new Map() });
    expect(services).toEqual([]);
    expect(messages).toBeLessThan(10);
  });

  test('gives a machine without a meter one that stands at 0', async () => {
    const home = homeOfOne([someOil], { meter: { kind: 'none' } });
    const { services } = await rehearseSome({ home });
    expect(services[0]?.trueDue).toBe(addDays(from, 49));
  });

  test('keeps only the named tasks, on the machines that have them', async () => {
    const { machines } = await rehearseSome({ home: homeOfOne([someOil]), tasks: ['grease'] });
    expect(machines).toEqual({});
    const tasks = [someOil, someTask('grease', { title: 'Grease', every: { hours: 20 } })];
    const { services } = await rehearseSome({ home: homeOfOne(tasks), tasks: ['oil'] });
    expect(new Set(services.map((s) => s.task))).toEqual(new Set(['oil']));
  });

  test('keeps checks before each use out of the services', async () => {
    const tasks = [someOil, someTask('look', { title: 'Look around', every: 'use' })];
    const { services } = await rehearseSome({ home: homeOfOne(tasks) });
    expect(services.length).toBeGreaterThan(0);
    expect(services.some((s) => s.task === 'look')).toBe(false);
  });

  test('asks no questions where a feed covers every day, also without feed settings', async () => {
    const odd = new Map([
      ['orchard-mower', usedEvenly('2031-03-01', '2031-06-30', 1).map((d, i) => ({ ...d, hours: (i * 7) % 5 }))],
    ]);
    const unfed = await rehearseSome({ usage: odd });
    const fed = await rehearseSome({ usage: odd, feedShare: 1 });
    expect(unfed.questions).toBeGreaterThan(0);
    expect(fed.questions).toBe(0);
    expect(fed.services.length).toBeGreaterThan(0);
  });

  test('covers the share of the days that was asked for', async () => {
    let covered = 0;
    await rehearseSome({
      usage: new Map(),
      feedShare: 0.5,
      policy: ({ service }) => ({
        policy: {
          turn: () => {
            const [facts] = gather(service.books).machines;
            covered = (facts?.coverage ?? []).reduce((days, s) => days + (s.toMs - s.fromMs) / 86_400_000, 0);
            return { posted: 0, nextLookMs: Number.POSITIVE_INFINITY, visits: [] };
          },
        },
        errands: [],
      }),
    });
    // 61 of 122 days; the clock change takes an hour from one, and what runs after the last evening is never told.
    expect(covered).toBeGreaterThan(59.9);
    expect(covered).toBeLessThanOrEqual(61);
  });

  test('counts a walk to a machine that needed nothing as wasted, not as a question', async () => {
    const early = await rehearseSome({
      home: homeOfOne([someOil], { expect: { hoursPerYear: 3000, season: 'even' } }),
      policy: 'calendar',
    });
    expect(early.wastedTrips).toBeGreaterThan(0);
    expect(early.questions).toBe(0);
    expect(early.machines['orchard-mower']).toEqual({
      questions: 0,
      wastedTrips: early.wastedTrips,
      messages: early.messages,
    });
    expect(early.readings).toBeGreaterThanOrEqual(early.wastedTrips);
  });

  test('does nothing where nothing is said', async () => {
    const silence: Policy = { turn: () => ({ posted: 0, nextLookMs: Number.POSITIVE_INFINITY, visits: [] }) };
    const report = await rehearseSome({ policy: () => ({ policy: silence, errands: [] }) });
    expect(report).toMatchObject({ services: [], notices: [], messages: 0, readings: 0 });
  });

  test('can be stopped between two turns', async () => {
    const stopping = new AbortController();
    stopping.abort();
    await expect(rehearseSome({ stopping: stopping.signal })).rejects.toBeInstanceOf(LifeStopped);
  });
});

describe('the policies to compare with', () => {
  test('a calendar reminds on the evening before the working day on or after interval / expected hours a year', async () => {
    // 50 h at 365.25 h a year are 50 days: 20 April, a Sunday.
    const { notices, services } = await rehearseSome({ policy: 'calendar', usage: new Map() });
    const work = notices.filter((n) => n.kind === 'work');
    expect(addDays(from, 50)).toBe('2031-04-20');
    expect(work[0]?.at).toBe(new Date(parseInstant('2031-04-19T18:30', zone)).toISOString().replace('.000Z', 'Z'));
    expect(work[0]).toMatchObject({ machine: 'orchard-mower', tasks: ['oil'], to: 'wen', channel: 'file' });
    // Six days ahead of the work, the parts.
    expect(notices[0]).toMatchObject({ kind: 'parts', at: '2031-04-14T17:30:00Z' });
    // The machine stood still all along: nothing to do.
    expect(services).toEqual([]);
  });

  test('a calendar that knows no expected hours goes by months alone', async () => {
    const tasks = [someTask('oil', { title: 'Oil', every: { hours: 10, months: 1 } })];
    const home = homeOfOne(tasks, { expect: { season: 'even' } });
    const { notices } = await rehearseSome({ home, policy: 'calendar', usage: new Map() });
    // 1 April is a Tuesday; the Saturday after it is the 5th.
    expect(notices[0]).toMatchObject({ kind: 'work', at: '2031-04-04T17:30:00Z' });
  });

  test('a line through the last two monthly readings projects the day', async () => {
    // Two hours a day though one is expected: by 1 April the line sees 162 h, 2 h a day, so 150 h are passed already.
    const usage = new Map([['orchard-mower', usedEvenly('2031-03-01', '2031-06-30', 2)]]);
    const { notices, questions } = await rehearseSome({ policy: 'line', usage });
    const work = notices.find((n) => n.kind === 'work');
    expect(work?.at).toBe('2031-04-04T17:30:00Z');
    expect(questions).toBe(0);
    // A quarter of an hour a day: 31 days bring 7.75 h, shown as 107.7; 42.3 h more take 170.3 days.
    const slow = new Map([['orchard-mower', usedEvenly('2031-03-01', '2031-12-31', 0.25)]]);
    const late = await rehearseSome({ policy: 'line', usage: slow, to: parseDay('2031-12-31') });
    const due = late.services[0]?.doneOn;
    expect(due === undefined ? Number.NaN : daysBetween(parseDay('2031-09-17'), due)).toBeLessThan(9);
  });

  test('both say one message a person and evening, and none in quiet hours', async () => {
    const tasks = [someOil, someTask('grease', { title: 'Grease', every: { hours: 10 } })];
    for (const policy of ['calendar', 'line'] as const) {
      const { notices } = await rehearseSome({ home: homeOfOne(tasks), policy, usage: evenHour });
      const days = new Map<string, Set<string>>();
      for (const n of notices) {
        const key = `${n.to} ${n.at.slice(0, 10)}`;
        days.set(key, new Set([...(days.get(key) ?? []), n.message]));
        expect(n.at).toMatch(/T1[78]:30:00Z$/);
      }
      expect(days.size).toBeGreaterThan(3);
      for (const messages of days.values()) expect(messages.size).toBe(1);
    }
  });
});
