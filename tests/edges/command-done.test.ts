import { appendFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openService } from '../../src/daemon/wire.js';
import { loadHome } from '../../src/home/load-home.js';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';
import { noLog } from '../stage/no-log.js';

let home = '';
let shed: ReturnType<typeof commandsOn>;
let visit = '';
beforeEach(async () => {
  home = stageCommandHome();
  shed = commandsOn(home);
  await shed('reading', 'cider-press', '146', '--at', '2031-08-30T12:00');
  visit = (await visits()).find((v) => v.machine === 'cider-press' && v.tasks.length > 1)?.id ?? '';
  expect(visit).not.toBe('');
});
afterEach(() => removeHome(home));

interface Visit {
  readonly id: string;
  readonly machine: string;
  readonly tasks: readonly string[];
}

async function visits(...argv: string[]): Promise<readonly Visit[]> {
  return JSON.parse((await shed('visits', '--json', ...argv)).lines[0] ?? '').visits;
}
const tasksOf = async (id: string) => (await visits()).find((v) => v.id === id)?.tasks ?? [];

/** The records that stand, as the export tells them. */
async function records(): Promise<readonly Record<string, string>[]> {
  const { lines } = await shed('export', '--format', 'csv');
  const rows: Record<string, string>[] = parse(lines.join('\n'), { columns: true });
  return rows.filter((row) => row.kind === 'record');
}

async function dueOf(task: string): Promise<{ readonly p50: string }> {
  const { machines } = JSON.parse((await shed('status', '--json')).lines[0] ?? '');
  return machines[0].tasks.find((t: { task: string }) => t.task === task).due;
}

describe('done', () => {
  test('makes a record of all tasks, today in household time, at the hours told, and moves the next due', async () => {
    const held = await tasksOf(visit);
    const before = await dueOf(held[0] ?? '');
    const said = await shed('done', visit, '--hours', '147.5');
    expect(said).toMatchObject({
      status: 0,
      errors: [],
      lines: [expect.stringMatching(/^record-1: Monday 1 September at 147\.5 h: /)],
    });
    expect(await records()).toEqual([
      expect.objectContaining({ id: 'record-1', day: '2031-09-01', hours: '147.5', hours_known: 'read' }),
    ]);
    expect((await records())[0]?.tasks?.split(/[\s;,+]+/).sort()).toEqual([...held].sort());
    expect((await dueOf(held[0] ?? '')).p50 > before.p50).toBe(true);
  });

  test('says the fluid that really went in, with the warning where the plan demands another; one of no job is refused', async () => {
    appendFileSync(
      join(home, 'machines/cider-press.yaml'),
      'tasks:\n  engine-oil:\n    fluids: [{ name: engine oil, quantity: 1.2 L, must: the kind on its cap }]\n',
    );
    visit = (await visits()).find(({ tasks }) => tasks.includes('engine-oil'))?.id ?? '';
    const done = (...fluids: string[]) =>
      shed('done', visit, '--tasks', 'engine-oil', ...fluids.flatMap((fluid) => ['--fluid', fluid]));
    expect(await done('gear grease: 1 L')).toMatchObject({ status: 2, lines: [] });
    expect((await done('engine oil: green oil, 7 psi')).status).toBe(2);
    expect(await records()).toEqual([]);
    const said = await done('engine oil: green oil, 1,4 L');
    expect(said.status).toBe(0);
    expect(said.lines[1]).toMatch(/^Engine oil that went in: green oil, 1,4 L\. WARNING: the wrong fluid/);
    const { lines } = await shed('export', '--format', 'csv');
    expect(lines.join('\n')).toContain('green oil');
  });

  test('--now says which day today is', async () => {
    await shed('done', visit, '--now', '2031-09-05T23:30:00Z');
    expect((await records())[0]?.day).toBe('2031-09-06');
  });

  test('--on says the day; without --hours they are estimated and said to be', async () => {
    const { lines } = await shed('done', visit, '--on', '2031-08-31');
    expect(lines[0]).toMatch(/Sunday 31 August at about \d+/);
    expect(await records()).toEqual([expect.objectContaining({ day: '2031-08-31', hours_known: 'estimated' })]);
  });

  test('twice is one record, also on a later day and in another order of its options', async () => {
    await shed('done', visit, '--hours', '147');
    for (const argv of [
      ['done', visit, '--hours', '147'],
      ['done', visit],
      ['done', visit, '--now', '2031-09-04'],
    ]) {
      expect(await shed(...argv)).toMatchObject({
        status: 0,
        errors: [],
        lines: [expect.stringMatching(/^Already on record: record-1: /)],
      });
    }
    expect(await records()).toHaveLength(1);
  });

  test('--tasks leaves the rest due, and says where it stands now', async () => {
    const [first = '', ...rest] = await tasksOf(visit);
    const said = await shed('done', visit, '--tasks', first);
    expect(said.status).toBe(0);
    const next = (await visits()).filter((v) => v.machine === 'cider-press' && v.tasks.some((t) => rest.includes(t)));
    expect(next.flatMap((v) => v.tasks.filter((t) => rest.includes(t))).sort()).toEqual([...rest].sort());
    for (const v of next) expect(said.lines.join('\n')).toContain(`Still to do, ${v.id}: `);
    expect((await records())[0]?.tasks).toBe(first);
    // The rest by whichever id it has now: two records, each task in one of them.
    for (const v of next)
      expect(await shed('done', v.id, '--tasks', v.tasks.filter((t) => rest.includes(t)).join(' , '))).toMatchObject({
        status: 0,
      });
    const done = (await records()).flatMap((r) => r.tasks?.split(/[\s;,+]+/) ?? []);
    expect(done.sort()).toEqual([first, ...rest].sort());
  });

  test('hours that cannot be are refused and leave no record; questionable ones are a question', async () => {
    expect((await shed('done', visit, '--hours', '90')).errors[0]).toMatch(/backwards/);
    expect((await shed('done', visit, '--hours', '9000')).errors[0]).toMatch(/more than 24 hours a day/);
    for (const [on, moment] of [
      [[], []],
      [['--on', '2031-09-01'], []],
      [
        ['--on', '2031-09-03', '--now', '2031-09-05'],
        ['--at', '2031-09-03T18:00'],
      ],
    ] as const) {
      const asked = await shed('done', visit, '--hours', '195', ...on);
      expect(asked).toMatchObject({ status: 2, lines: [], errors: [expect.stringMatching(/^question: /)] });
      // The question says by which words the hours can be confirmed.
      const words = /shedbell (reading .* --confirm)/.exec(asked.errors[0] ?? '')?.[1]?.split(' ');
      expect(words).toEqual(['reading', 'cider-press', '195', ...moment, '--confirm']);
    }
    expect(await records()).toEqual([]);
    expect(await shed('reading', 'cider-press', '195', '--confirm')).toMatchObject({ status: 0 });
    expect(await shed('done', visit, '--hours', '195')).toMatchObject({ status: 0 });
    expect(await records()).toEqual([expect.objectContaining({ hours: '195', hours_known: 'read' })]);
  });

  test('a visit that was announced keeps its id for done, whatever the plan says since', async () => {
    const loaded = loadHome(home);
    if (loaded.kind !== 'home') throw new Error('the staged home has faults');
    // After the evening hour at which the next day's work is told.
    let nowMs = Date.parse('2031-09-01T18:00:00Z');
    const service = openService({ homeDir: home, home: loaded.home, clock: { nowMs: () => nowMs }, log: noLog });
    for (
      let days = 0;
      days < 30 && !service.latest().visits.some((v) => v.announced && v.machine === 'cider-press');
      days += 1
    ) {
      nowMs += 86_400_000;
      service.turn();
    }
    const announced = service.latest().visits.find((v) => v.announced && v.machine === 'cider-press');
    service.close();
    const at = ['--now', new Date(nowMs).toISOString()];
    expect(await shed('done', announced?.id ?? '', ...at)).toMatchObject({
      status: 0,
      lines: [expect.stringMatching(/^record-/)],
    });
    const again = await shed('done', announced?.id ?? '', '--now', new Date(nowMs + 2 * 86_400_000).toISOString());
    expect(again).toMatchObject({ status: 0, lines: [expect.stringMatching(/^Already on record: /)] });
    expect(await records()).toHaveLength(1);
  });
});

describe('undo', () => {
  test('voids a record once; its visit is open again and its tasks are due as before', async () => {
    const before = await visits();
    await shed('done', visit, '--hours', '147');
    expect(await shed('undo', 'record-1')).toMatchObject({ status: 0, lines: [expect.stringContaining('is voided')] });
    expect(await visits()).toEqual(before);
    expect(await records()).toEqual([]);
    expect(await shed('undo', 'record-1')).toMatchObject({
      status: 0,
      lines: [expect.stringContaining('voided before')],
    });
  });

  test('work undone and done again is one record', async () => {
    await shed('done', visit);
    await shed('undo', 'record-1');
    expect(await shed('done', visit)).toMatchObject({ status: 0, lines: [expect.stringMatching(/^record-2: /)] });
    expect((await records()).map((r) => r.id)).toEqual(['record-2']);
  });
});
