import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { openService } from '../../src/daemon/wire.js';
import { loadHome } from '../../src/home/load-home.js';
import { enterRuns } from '../../src/ledger/enter-runs.js';
import { commandsOn, now, removeHome, type Said, stageCommandHome } from '../stage/command.js';
import { noLog } from '../stage/no-log.js';

const home = stageCommandHome();
const shed = commandsOn(home);

beforeAll(async () => {
  expect(await shed('reading', 'cider-press', '120', '--at', '2031-05-04')).toMatchObject({ status: 0 });
  expect(await shed('reading', 'cider-press', '146', '--at', '2031-08-31T09:30+02:00')).toMatchObject({ status: 0 });
});
afterAll(() => removeHome(home));

const day = z.iso.date();
const instant = z.string().regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$/);
const finite = z.number();
/** The shape that scripts rely on; it may grow by more keys, none of these may be missing or of another kind. */
const statusShape = z.object({
  machines: z.array(
    z.object({
      machine: z.string(),
      hoursNow: z.object({ p10: finite, p50: finite, p90: finite }).nullable(),
      lastReading: z.object({ at: instant, hours: finite }).nullable(),
      feed: z.object({ runSeconds: finite, lastAt: instant.nullable() }).nullable(),
      tasks: z.array(
        z.object({
          task: z.string(),
          limit: z.enum(['hours', 'months', 'season', 'break-in', 'noticed', 'use']),
          due: z.object({ p10: day, p50: day, p90: day }).nullable(),
        }),
      ),
    }),
  ),
  problems: z.array(z.string()),
});

/** One JSON document on one line, and nothing else anywhere. */
function documentOf(said: Said): unknown {
  expect(said).toMatchObject({ status: 0, errors: [], lines: [expect.any(String)] });
  expect(said.lines[0]).not.toContain('\n');
  return JSON.parse(said.lines[0] ?? '');
}
const status = async (...argv: string[]) => statusShape.parse(documentOf(await shed('status', '--json', ...argv)));

describe('status', () => {
  test('--json has the shape that scripts rely on, one entry a machine and a task', async () => {
    const { machines, problems } = await status();
    expect(problems).toEqual([]);
    expect(machines.map((m) => m.machine)).toEqual(['cider-press', 'hand-tiller']);
    const tasks = machines[0]?.tasks.map((t) => t.task).sort();
    expect(tasks).toEqual(['air-filter', 'belt', 'engine-oil']);
    const tiller = machines[1]?.tasks.map((t) => t.task) ?? [];
    expect(new Set(tiller).size).toBe(tiller.length);
  });

  test('it holds no key but those of the shape: one more is a promise, and stands there first', async () => {
    const strict = (shape: z.ZodObject) => Object.keys(shape.shape).sort();
    const document = documentOf(await shed('status', '--json')) as z.infer<typeof statusShape>;
    expect(Object.keys(document).sort()).toEqual(strict(statusShape));
    const machine = document.machines[0];
    expect(Object.keys(machine ?? {}).sort()).toEqual(strict(statusShape.shape.machines.element));
    expect(Object.keys(machine?.tasks[0] ?? {}).sort()).toEqual(
      strict(statusShape.shape.machines.element.shape.tasks.element),
    );
  });

  test('the last reading is the newest, in UTC without a fraction; where nobody read anything it is null', async () => {
    const { machines } = await status();
    expect(machines[0]?.lastReading).toEqual({ at: '2031-08-31T07:30:00Z', hours: 146 });
    expect(machines[1]?.lastReading).toBeNull();
  });

  test('spans run from the likely earliest to the likely latest', async () => {
    for (const { hoursNow, tasks } of (await status()).machines) {
      if (hoursNow !== null) {
        expect(hoursNow.p10).toBeLessThanOrEqual(hoursNow.p50);
        expect(hoursNow.p50).toBeLessThanOrEqual(hoursNow.p90);
      }
      for (const { due } of tasks) {
        if (due === null) continue;
        expect(due.p10 <= due.p50 && due.p50 <= due.p90).toBe(true);
      }
    }
  });

  test('--now sets the clock: later, less is known of the hours, and the work is nearer', async () => {
    const width = ({ machines: [press] }: z.infer<typeof statusShape>) =>
      press?.hoursNow === null || press === undefined ? Number.NaN : press.hoursNow.p90 - press.hoursNow.p10;
    const soon = width(await status('--now', '2031-09-02'));
    const later = width(await status('--now', '2031-11-30T12:00:00Z'));
    expect(later).toBeGreaterThan(soon);
    const p50 = (await status('--now', '2033-06-01')).machines[0]?.tasks.find((t) => t.task === 'belt')?.due?.p50;
    expect(p50 !== undefined && p50 < '2033-06-01').toBe(true);
  });

  test('without --json the same is said in words', async () => {
    const { status: code, lines, errors } = await shed('status');
    expect({ code, errors }).toEqual({ code: 0, errors: [] });
    expect(lines[0]).toMatch(/^Cider press: about 146 h/);
    expect(lines[1]).toMatch(/^ {2}next visit (today|tomorrow|this|on) .*\(cider-press-[a-z-]+\d+\)$/);
    expect(lines[2]).toMatch(/^ {2}due: .*Change the oil/);
    expect(lines[3]).toMatch(/^Hand tiller: /);
    expect(lines.at(-1)).toBe('Every task: shedbell status cider-press, or shedbell status --all');
  });

  test('a machine takes two to three lines at a glance; named, or with --all, it says every task', async () => {
    const { machines } = await status();
    const withDue = (name: string) => machines.find((m) => m.machine === name)?.tasks.filter((t) => t.due !== null);
    const brief = (await shed('status')).lines;
    expect(brief.length).toBeLessThanOrEqual(3 * machines.length + 1);
    const one = (await shed('status', 'cider-press')).lines;
    expect(one).toHaveLength(1 + (withDue('cider-press')?.length ?? 0));
    expect(one.join('\n')).toMatch(/Change the oil on the cider press/);
    expect(one.join('\n')).not.toContain('Hand tiller');
    const all = (await shed('status', '--all')).lines;
    expect(all.length).toBeGreaterThan(brief.length);
    expect(all.slice(0, one.length)).toEqual(one);
  });

  test('--json of one machine is that machine in the same shape; --all changes nothing in it', async () => {
    const { machines } = await status('cider-press');
    expect(machines.map((m) => m.machine)).toEqual(['cider-press']);
    const entries = async (...argv: string[]) => (await status(...argv)).machines.map((m) => m.tasks.length);
    expect(await entries('--all')).toEqual(await entries());
  });

  test('a machine of which nothing is known has no hours, and a task without limits no due', async () => {
    const dir = stageCommandHome({
      'machines/cider-press.yaml':
        'name: Cider press\nplan: cider-press\nsince: 2031-01-01\nmeter: { counts: clock }\nlast: unknown\ntasks: { belt: { every: { hours: none, months: none }, when: noticed } }\n',
    });
    const said = statusShape.parse(documentOf(await commandsOn(dir)('status', '--json')));
    const press = said.machines[0];
    expect(press).toMatchObject({ hoursNow: null, lastReading: null, feed: null });
    expect(press?.tasks.find((t) => t.task === 'belt')).toMatchObject({ limit: 'noticed', due: null });
    removeHome(dir);
  });
});

describe('the feed in status', () => {
  test.each([0, 1, 3601, 123_456_789, 86_399.25])(
    '%d seconds that a feed counted are told exactly',
    async (totalSeconds) => {
      const dir = stageCommandHome();
      const loaded = loadHome(dir);
      if (loaded.kind !== 'home') throw new Error('the staged home has faults');
      const nowMs = Date.parse('2031-09-01T17:00:00Z');
      const service = openService({ homeDir: dir, home: loaded.home, clock: { nowMs: () => nowMs }, log: noLog });
      enterRuns(service.books, 'cider-press', { total: { runSeconds: totalSeconds, lastAtMs: nowMs - 1500 } });
      service.close();
      const { machines } = statusShape.parse(documentOf(await commandsOn(dir)('status', '--json')));
      expect(machines[0]?.feed).toEqual({ runSeconds: totalSeconds, lastAt: '2031-09-01T16:59:58Z' });
      expect(machines[1]?.feed).toBeNull();
      removeHome(dir);
    },
  );
});

test('a feed that is set up but was not heard yet has counted nothing', async () => {
  const machine = 'name: Saw\nplan: cider-press\nsince: 2031-01-01\nfeed: { kind: run-seconds, topic: weir/saw }\n';
  const dir = stageCommandHome({ 'machines/saw-bench.yaml': machine });
  const { machines } = statusShape.parse(documentOf(await commandsOn(dir)('status', '--json')));
  expect(machines.find((m) => m.machine === 'saw-bench')?.feed).toEqual({ runSeconds: 0, lastAt: null });
  removeHome(dir);
});

describe('visits and sheet', () => {
  const visitsShape = z.object({
    visits: z.array(
      z.object({
        id: z.string(),
        machine: z.string(),
        tasks: z.array(z.string()).min(1),
        day,
        due: z.object({ p10: day, p50: day, p90: day }),
        minutes: finite,
      }),
    ),
  });
  const visits = async (...argv: string[]) =>
    visitsShape.parse(documentOf(await shed('visits', '--json', ...argv))).visits;

  test('visits --json: soonest first, on days that have not passed, each task once', async () => {
    const ahead = await visits();
    expect(ahead.length).toBeGreaterThan(1);
    expect(ahead.map((v) => v.day)).toEqual(ahead.map((v) => v.day).sort());
    for (const { day: on } of ahead) expect(on >= '2031-09-01').toBe(true);
    const all = ahead.flatMap((v) => v.tasks.map((task) => `${v.machine} ${task}`));
    expect(new Set(all).size).toBe(all.length);
  });

  test('visits: a line each, that begins with its id', async () => {
    const ids = (await visits()).map((v) => v.id);
    const { lines } = await shed('visits');
    expect(lines.map((line) => line.split(':')[0])).toEqual(ids);
  });

  test('--now moves the days of the visits', async () => {
    for (const { day: on } of await visits('--now', '2031-12-24')) expect(on >= '2031-12-24').toBe(true);
  });

  test('where nothing is ahead, both say so', async () => {
    const dir = stageCommandHome({ 'machines/cider-press.yaml': null, 'machines/hand-tiller.yaml': null });
    const bare = commandsOn(dir);
    expect(documentOf(await bare('visits', '--json'))).toEqual({ visits: [] });
    expect((await bare('visits')).lines).toEqual(['No visit ahead.']);
    expect(documentOf(await bare('status', '--json'))).toEqual({ machines: [], problems: expect.any(Array) });
    removeHome(dir);
  });

  test('sheet: every task of the visit with its steps, in one document or in lines, on the day of --now', async () => {
    const [visit] = await visits();
    const id = visit?.id ?? '';
    const sheet = documentOf(await shed('sheet', id, '--json')) as { lines: { kind: string; task: string }[] };
    const headings = new Set(sheet.lines.filter((line) => line.kind === 'task').map((line) => line.task));
    for (const task of visit?.tasks ?? []) expect(headings).toContain(task);
    const said = await shed('sheet', id, '--now', now);
    expect(said).toMatchObject({ status: 0, errors: [] });
    expect(said.lines[0]).toMatch(/, about (\d+ min|\d+ h( \d+)?)$/);
    for (const line of said.lines) expect(line).not.toContain('undefined');
  });
});
