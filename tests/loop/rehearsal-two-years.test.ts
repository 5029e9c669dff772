import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../src/cli/run.js';
import { parseInstant, timeOfDayAt } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import { loadHome } from '../../src/home/load-home.js';
import type { RehearsalReport } from '../../src/rehearsal/report.js';

const demoData = fileURLToPath(new URL('../../demo-data', import.meta.url));
/** Two years of a household are a few hundred turns of the whole service. */
const longMs = 600_000;

let home: Home;
let report: RehearsalReport;

beforeAll(async () => {
  const loaded = loadHome(`${demoData}/home`);
  if (loaded.kind !== 'home') throw new Error(loaded.faults.map((f) => f.line).join('\n'));
  home = loaded.home;
  const printed: string[] = [];
  const usage = `${demoData}/usage.csv`;
  const status = await run(
    [
      '--home',
      `${demoData}/home`,
      'rehearse',
      '--usage',
      usage,
      '--from',
      '2025-01-01',
      '--to',
      '2026-12-31',
      '--json',
    ],
    { line: (text) => printed.push(text), error: (text) => printed.push(text) },
  );
  expect({ status, documents: printed.length }).toEqual({ status: 0, documents: 1 });
  report = JSON.parse(printed[0] ?? '');
}, longMs);

const dayOf = (instant: string) => instant.slice(0, 10);

describe('two years of the demo household', () => {
  test('bring services to all of its machines', () => {
    expect(report.services.length).toBeGreaterThan(80);
    expect(new Set(report.services.map((s) => s.machine))).toEqual(new Set(home.machines.map((m) => m.id)));
  });

  test('leave no service unreminded', () => {
    const unreminded = report.services.filter(
      (service) =>
        !report.notices.some(
          (notice) =>
            (notice.kind === 'work' || notice.kind === 'late') &&
            notice.machine === service.machine &&
            notice.tasks.includes(service.task) &&
            dayOf(notice.at) < service.doneOn,
        ),
    );
    expect(unreminded).toEqual([]);
  });

  test('bring at most one message a person and day', () => {
    const messages = new Map<string, Set<string>>();
    for (const { to, at, message } of report.notices) {
      const key = `${to} ${dayOf(at)}`;
      messages.set(key, new Set([...(messages.get(key) ?? []), message]));
    }
    expect([...messages].filter(([, ids]) => ids.size > 1)).toEqual([]);
    expect(messages.size).toBe(report.messages);
  });

  test('stay silent in quiet hours', () => {
    const { zone, quiet } = home.household;
    const times = report.notices.map((n) => timeOfDayAt(parseInstant(n.at, zone), zone));
    expect(times.filter((time) => time >= quiet.from || time < quiet.to)).toEqual([]);
  });

  test('are told with every field', () => {
    const day = expect.stringMatching(/^\d{4}-\d{2}-\d{2}$/);
    const numberOrNull = (value: unknown) => value === null || (typeof value === 'number' && Number.isFinite(value));
    for (const notice of report.notices) {
      expect(notice).toEqual({
        message: expect.stringMatching(/./),
        at: expect.stringMatching(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$/),
        kind: expect.stringMatching(/^(parts|work|late|reading|season)$/),
        machine: expect.stringMatching(/./),
        visit: expect.stringMatching(/./),
        tasks: expect.any(Array),
        to: expect.stringMatching(/^(ines|tomas)$/),
        channel: 'file',
        subject: expect.stringMatching(/./),
      });
      expect(notice.tasks.length).toBeGreaterThan(0);
    }
    for (const service of report.services) {
      expect(service).toEqual({
        machine: expect.stringMatching(/./),
        task: expect.stringMatching(/./),
        limit: expect.stringMatching(/^(hours|months|season|break-in)$/),
        trueDue: day,
        doneOn: day,
        intervalHours: expect.toSatisfy(numberOrNull),
        toleranceHours: expect.toSatisfy(numberOrNull),
        overHours: expect.toSatisfy(numberOrNull),
        partsNoticeLeadDays: expect.toSatisfy(numberOrNull),
        pulledForward: expect.any(Boolean),
      });
      expect(service.limit === 'hours' && service.overHours === null).toBe(false);
      expect(service.doneOn >= '2025-01-01' && service.doneOn <= '2026-12-31').toBe(true);
    }
  });

  test('add up machine by machine', () => {
    const sums = Object.values(report.machines);
    expect(sums).toHaveLength(home.machines.length);
    expect(sums.reduce((all, sum) => all + sum.questions, 0)).toBe(report.questions);
    expect(sums.reduce((all, sum) => all + sum.wastedTrips, 0)).toBe(report.wastedTrips);
    expect(report.questions).toBe(report.notices.filter((n) => n.kind === 'reading').length);
    expect(report.messages).toBe(new Set(report.notices.map((n) => n.message)).size);
    for (const [machine, sum] of Object.entries(report.machines)) {
      const own = report.notices.filter((n) => n.machine === machine);
      expect(sum.messages).toBe(new Set(own.map((n) => n.message)).size);
    }
  });

  test('bring no service later by the meter than its tolerance allows, but for a few', () => {
    const late = report.services.filter(
      (s) => s.limit === 'hours' && (s.overHours ?? 0) > (s.toleranceHours ?? Number.POSITIVE_INFINITY),
    );
    expect(late.length).toBeLessThanOrEqual(report.services.length / 20);
  });
});
