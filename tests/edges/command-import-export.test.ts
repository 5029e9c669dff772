import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { addLetter } from '../../src/store/facts/outbox.js';
import { openStore } from '../../src/store/open.js';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';

let home = '';
let shed: ReturnType<typeof commandsOn>;
beforeEach(() => {
  home = stageCommandHome();
  shed = commandsOn(home);
});
afterEach(() => removeHome(home));

function file(text: string | Buffer, name = 'old.csv'): string {
  writeFileSync(join(home, name), text);
  return join(home, name);
}
const bring = (path: string, ...options: string[]) => shed('import', path, '--machine', 'cider-press', ...options);

async function rows(): Promise<readonly Record<string, string>[]> {
  return parse((await shed('export', '--format', 'csv')).lines.join('\n'), { columns: true });
}

const readings = 'at,hours\n2031-02-01,104.5\n2031-03-01T18:00,110\n2031-04-01T06:00:00Z,117.25\n';

describe('import', () => {
  test('readings: all of them, in household time, and the same file again changes nothing', async () => {
    const path = file(readings);
    expect(await bring(path)).toEqual({
      status: 0,
      lines: ['old.csv: 3 readings and 0 records imported.'],
      errors: [],
    });
    expect((await rows()).map((row) => [row.at, row.hours])).toEqual([
      ['2031-02-01T12:00:00Z', '104.5'],
      ['2031-03-01T18:00:00Z', '110'],
      ['2031-04-01T06:00:00Z', '117.25'],
    ]);
    expect(await bring(path)).toMatchObject({
      status: 0,
      lines: ['old.csv: 0 readings and 0 records imported; known before: 3 rows.'],
    });
    expect(await rows()).toHaveLength(3);
  });

  test('old records with their tasks move the next due', async () => {
    const due = async () =>
      JSON.parse((await shed('status', '--json')).lines[0] ?? '').machines[0].tasks.find(
        (t: { task: string }) => t.task === 'belt',
      ).due.p50;
    const before = await due();
    expect(
      await bring(file('day,tasks,hours,note\n2031-07-01,"belt air-filter",130,"by hand, in the rain"\n')),
    ).toMatchObject({
      status: 0,
      lines: ['old.csv: 0 readings and 1 record imported.'],
    });
    expect((await due()) > before).toBe(true);
    expect((await rows()).find((row) => row.kind === 'record')).toMatchObject({
      day: '2031-07-01',
      hours: '130',
      note: 'by hand, in the rain',
    });
  });

  test('--dry-run says the same and imports nothing', async () => {
    const path = file(readings);
    expect(await bring(path, '--dry-run')).toEqual({
      status: 0,
      lines: ['old.csv: 3 readings and 0 records would be imported (nothing was).'],
      errors: [],
    });
    expect(await rows()).toEqual([]);
    expect(await bring(path)).toMatchObject({ lines: ['old.csv: 3 readings and 0 records imported.'] });
  });

  test('one wrong row and nothing is imported; each wrong row is a line with file, line and column', async () => {
    const path = file('at,hours\n2031-02-01,104.5\n2031-02-30,110\n2031-04-01,12x\n2031-05-01,101\n');
    for (const options of [[], ['--dry-run']]) {
      const { status, lines, errors } = await bring(path, ...options);
      expect({ status, lines }).toEqual({ status: 2, lines: [] });
      expect(errors.map((line) => line.replace(path, 'old.csv').split(': ')[0])).toEqual([
        'old.csv:3:1',
        'old.csv:4:12',
        'old.csv:5:1',
      ]);
      expect(errors[2]).toContain('backwards');
      expect(await rows()).toEqual([]);
    }
    const below = file('at,hours\n2031-02-01,104.5\n2031-05-01,101\n2031-09-02,120\n2031-03-01,105\n');
    const { status, errors } = await bring(below);
    expect(status).toBe(2);
    expect(errors).toEqual([
      expect.stringMatching(/old\.csv:3:1: .*backwards/),
      expect.stringMatching(/old\.csv:4:1: .*future/),
    ]);
    expect(await rows()).toEqual([]);
  });

  test('records that cannot be read, of unknown jobs and of days to come are all named at once, in their order', async () => {
    const path = file(
      'day,tasks,hours\n2031-07-01,no-such,130\n2031-02-30,belt,131\n2033-01-01,belt,132\n2031-07-02,belt,\n',
    );
    const { status, errors } = await bring(path);
    expect(status).toBe(2);
    expect(errors.map((line) => line.replace(path, 'old.csv').split(': ')[0])).toEqual([
      'old.csv:2:1',
      'old.csv:3:1',
      'old.csv:4:1',
    ]);
    expect(await rows()).toEqual([]);
  });

  test.each([
    ['an empty file', '', /:1:1: The file is empty/],
    ['blank lines only', '\n\n', /:1:1: The file is empty/],
    ['an open quote', 'at,hours\n"2031-02-01,104\n', /:2:1: This is no CSV/],
    ['a row too short', 'at,hours\n2031-02-01\n', /:2:1: The row has 1 cells/],
    ['a row too long', 'at,hours\n2031-02-01,104,x\n', /:2:1: The row has 3 cells/],
    [
      'an unknown column',
      'at,hours,colour\n2031-02-01,104,red\n',
      /:1:1: This column means nothing here \(found "?colour/,
    ],
    ['no column of hours', 'at,note\n2031-02-01,x\n', /:1:1: The column hours is missing/],
    ['a task that the machine lacks', 'day,tasks\n2031-02-01,chain\n', /:2:1: .*no such task \(found "chain"\)/],
    ['a negative number', 'at,hours\n2031-02-01,-5\n', /:2:12: .*-5/],
    ['a number beyond all meters', 'at,hours\n2031-02-01,1e308\n', /:2:12: .*1e308/],
  ])('%s is named with its place', async (_, text, words) => {
    const { status, lines, errors } = await bring(file(text));
    expect({ status, lines }).toEqual({ status: 2, lines: [] });
    expect(errors[0]).toMatch(words);
    for (const line of errors) expect(line).not.toMatch(/\n|\bat .*\.[jt]s:\d/);
    expect(await rows()).toEqual([]);
  });

  test('bytes that are no text are refused, and nothing is imported', async () => {
    const { status, errors } = await bring(file(Buffer.from([0, 1, 2, 0xff, 0xfe, 10, 44, 10])));
    expect(status).toBe(2);
    expect(errors[0]).toMatch(/old\.csv:1:1: /);
    expect(await rows()).toEqual([]);
  });

  test('a questionable row is asked about and holds up the file', async () => {
    const { status, errors } = await bring(file('at,hours\n2031-02-01,104\n2031-09-01,1312\n'));
    expect(status).toBe(2);
    expect(errors).toEqual([expect.stringMatching(/old\.csv:3:1: .*131\.2.*--confirm/)]);
    expect(await rows()).toEqual([]);
  });

  test('--confirm counts the questionable rows too, and no impossible one', async () => {
    const text = 'at,hours\n2031-02-01,104\n2031-09-01,1312\n';
    const { status, errors } = await bring(file(`${text}2031-08-01,90\n`), '--confirm');
    expect({ status, errors }).toEqual({ status: 2, errors: [expect.stringMatching(/old\.csv:4:1: .*backwards/)] });
    expect(await rows()).toEqual([]);
    expect(await bring(file(text), '--confirm', '--dry-run')).toMatchObject({ status: 0 });
    expect(await rows()).toEqual([]);
    expect(await bring(file(text), '--confirm')).toMatchObject({ status: 0 });
    expect((await rows()).map((row) => row.hours)).toEqual(['104', '1312']);
  });

  test('a file that is not there, or is a folder, is one line', async () => {
    mkdirSync(join(home, 'folder.csv'));
    for (const [name, words] of [
      ['nowhere.csv', /nowhere\.csv: there is no such file\.$/],
      ['folder.csv', /folder\.csv: this is a folder, not a file\.$/],
      ['household.yaml/old.csv', /old\.csv: there is no such file\.$/],
    ] as const) {
      expect(await bring(join(home, name))).toEqual({ status: 2, lines: [], errors: [expect.stringMatching(words)] });
    }
  });

  test('a byte order mark, semicolons, decimal commas and Windows line ends are no obstacle', async () => {
    expect(await bring(file('\uFEFFat;hours\r\n2031-02-01;104,5\r\n2031-03-01;110\r\n'))).toMatchObject({ status: 0 });
    expect((await rows()).map((row) => row.hours)).toEqual(['104.5', '110']);
  });
});

describe('export', () => {
  beforeEach(async () => {
    await bring(file(readings));
    await bring(file('day,tasks,note\n2031-07-01,belt,"""tight"", he said; <b>then</b>\nloose, = 1+1"\n'));
  });

  test('--format csv is a table that any reader of CSV takes', async () => {
    const table = await rows();
    expect(table.map((row) => row.kind).sort()).toEqual(['reading', 'reading', 'reading', 'record']);
    expect(new Set(table.map((row) => row.machine))).toEqual(new Set(['cider-press']));
    expect(table.find((row) => row.kind === 'record')?.note).toContain('"tight", he said; <b>then</b>');
  });

  test('--format json is one document, and what is exported without --format', async () => {
    const { status, lines, errors } = await shed('export', '--format', 'json');
    expect({ status, errors }).toEqual({ status: 0, errors: [] });
    expect(JSON.parse(lines.join('\n'))).toMatchObject({ household: 'Weir Cottage', timezone: 'Europe/Lisbon' });
    expect((await shed('export')).lines).toEqual(lines);
  });

  test('--format html is a page that shows words as words', async () => {
    const { status, lines } = await shed('export', '--format', 'html');
    const page = lines.join('\n');
    expect(status).toBe(0);
    expect(page).toMatch(/^<!doctype html>/i);
    expect(page.trim()).toMatch(/<\/html>$/);
    expect(page).toContain('&lt;b&gt;then&lt;/b&gt;');
    expect(page).not.toContain('<b>then</b>');
  });

  test('what came out comes in again: the readings of an export make the same readings elsewhere', async () => {
    const table = await rows();
    const again = stageCommandHome();
    const text = `at,hours\n${table.flatMap((row) => (row.kind === 'reading' ? [`${row.at},${row.hours}`] : [])).join('\n')}\n`;
    const other = commandsOn(again);
    expect(await other('import', file(text), '--machine', 'cider-press')).toMatchObject({ status: 0 });
    const twin = parse((await other('export', '--format', 'csv')).lines.join('\n'), { columns: true }) as Record<
      string,
      string
    >[];
    const told = (list: readonly Record<string, string>[]) =>
      list.filter((row) => row.kind === 'reading').map((row) => [row.at, row.hours]);
    expect(told(twin)).toEqual(told(table));
    removeHome(again);
  });
});

test('an export holds machines whose file is gone, and the letters without their links', async () => {
  expect((await shed('reading', 'cider-press', '120')).status).toBe(0);
  const store = openStore(join(home, 'data', 'shedbell.sqlite'));
  store.mark(() =>
    addLetter(store, {
      id: 'letter-1',
      messageId: '<letter-1@x.invalid>',
      to: 'ada',
      channel: 'file',
      letter: {
        subject: 'Cider press: change the oil',
        lead: 'It is time.',
        blocks: [{ kind: 'link', label: 'Done', url: 'http://localhost/v/secret-token', main: true }],
      },
      writtenAtMs: 1_945_000_000_000,
      inReplyTo: null,
      references: [],
      copyOf: null,
    }),
  );
  store.close();
  rmSync(join(home, 'machines', 'cider-press.yaml'));
  rmSync(join(home, 'plans', 'cider-press.yaml'));
  const json = await shed('export', '--format', 'json');
  const all = JSON.parse(json.lines.join('\n'));
  expect(all.formerMachines).toMatchObject([{ id: 'cider-press', readings: [{ hours: 120 }] }]);
  expect(all.letters).toMatchObject([
    { id: 'letter-1', to: 'ada', subject: 'Cider press: change the oil', blocks: [] },
  ]);
  expect(json.lines.join('\n')).not.toContain('secret-token');
  const csv = await shed('export', '--format', 'csv');
  expect(csv.lines.join('\n')).toMatch(/^cider-press,reading,reading-1,2031-09-01,.*,120,read/m);
});
