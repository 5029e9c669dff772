import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { command, commandsOn, now, removeHome, stageCommandHome } from '../stage/command.js';

const home = stageCommandHome();
const shed = commandsOn(home);
let visit = '';

beforeAll(async () => {
  expect(await shed('reading', 'cider-press', '146')).toMatchObject({ status: 0 });
  visit = JSON.parse((await shed('visits', '--json')).lines[0] ?? '').visits[0].id;
});
afterAll(() => removeHome(home));

/** Bad use is one line on standard error, no stack, nothing on standard output, exit status 2. */
async function refused(argv: readonly string[], words: RegExp = /./) {
  const { status, lines, errors } = await shed(...argv);
  expect({ status, lines, count: errors.length }).toEqual({ status: 2, lines: [], count: 1 });
  expect(errors[0]).toMatch(words);
  expect(errors[0]).not.toMatch(/\n|\bat .*\.[jt]s:\d|node:internal|Error:/);
}

describe('arguments', () => {
  test.each([
    [[], /No command was given/],
    [['raeding'], /unknown command 'raeding'/],
    [[''], /unknown command/],
    [['-5'], /unknown command '-5'|unknown option '-5'/],
    [['--frobnicate'], /unknown option '--frobnicate'/],
    ...['check', 'start', 'demo', 'visits', 'export'].map((name): [string[], RegExp] => [
      [name, 'surplus'],
      new RegExp(`too many arguments for '${name}'`),
    ]),
    ...['init', 'sheet', 'reading', 'done', 'undo', 'import', 'rehearse', 'compute'].map((name): [string[], RegExp] => [
      [name],
      /missing required argument|required option .* not specified/,
    ]),
    ...['init', 'check', 'start', 'demo', 'status', 'visits', 'export', 'test-notice', 'rehearse'].map(
      (name): [string[], RegExp] => [[name, '--bogus'], /unknown option '--bogus'|required option/],
    ),
    [['status', 'surplus'], /There is no machine "surplus"/],
    [['status', 'cider-press', 'b'], /too many arguments for 'status'/],
    [['init', 'a', 'b'], /too many arguments for 'init'/],
    [['sheet', 'a', 'b'], /too many arguments for 'sheet'/],
    [['reading', 'cider-press'], /missing required argument 'hours'/],
    [['reading', 'cider-press', '147', '148'], /too many arguments for 'reading'/],
    [['done', 'a', 'b'], /too many arguments for 'done'/],
    [['undo', 'a', 'b'], /too many arguments for 'undo'/],
    [['test-notice', 'ada', 'rui'], /too many arguments for 'test-notice'/],
    [['compute', 'forecast', 'x'], /too many arguments for 'compute'/],
    [['import', 'a.csv'], /required option '--machine <name>' not specified. What it means: shedbell import --help$/],
    [['status', '--json=yes'], /./],
    [['status', '--home'], /argument missing/],
    [['reading', 'cider-press', '147', '--at'], /argument missing/],
  ] as [string[], RegExp][])('%j', async (argv, words) => {
    await refused(argv, words);
  });

  test.each([
    ['init', ''],
    ['sheet', ''],
    ['reading', '', '147'],
    ['reading', 'cider-press', ''],
    ['reading', 'cider-press', '147', '--at', ''],
    ['done', ''],
    ['undo', ''],
    ['import', '', '--machine', 'cider-press'],
    ['import', 'x.csv', '--machine', ''],
    ['export', '--format', ''],
    ['test-notice', ''],
    ['compute', ''],
    ['status', '--now', ''],
    ['status', '--home', ''],
    ['check', '--home', ' '],
    ['start', '--home', ''],
    ['rehearse', '--usage', '', '--from', '2031-01-01', '--to', '2031-02-01'],
    ['rehearse', '--usage', 'x.csv', '--from', '', '--to', '2031-02-01'],
  ])('an empty string is refused: %s %j %j %j', async (...argv) => {
    await refused(argv);
  });

  test('an argument cannot break the line or move the cursor', async () => {
    await refused(['reading', 'cider\npress\u001b[2J', '1'], /There is no machine/);
    await refused(['sta\n\u001b[31mtus'], /unknown command/);
    const { errors } = await shed('sta\u001b[31mtus');
    expect(errors.join('')).not.toContain('\u001b');
  });
});

describe('values', () => {
  test.each([
    '-5',
    '-0.5',
    '-1e308',
    '-',
    'NaN',
    '1e308',
    'Infinity',
    '0x10',
    '12,5,3',
    '1,281',
    ' ',
    'text',
    '99999999',
  ])('%j are no hours of a reading', async (hours) => {
    await refused(['reading', 'cider-press', hours], /hours|An empty name or value|million/);
  });

  test.each(['-5', 'NaN', '1e308', '12,5,3', ' ', 'text'])('%j are no hours of a visit', async (hours) => {
    await refused(['done', visit, '--hours', hours], /^--hours/);
  });

  test.each(['', ' ', 'yesterday', '2031-02-30', '2031-13-01T00:00Z', '1e308', '-5', '12:00', '2031-09-01T25:00'])(
    '%j is no instant',
    async (instant) => {
      await refused(['reading', 'cider-press', '147', '--at', instant], /^--at/);
      await refused(['status', '--now', instant], /^--now/);
      await refused(['check', '--now', instant], /^--now/);
      await refused(['init', join(home, 'new'), '--now', instant], /^--now/);
      await refused(['start', '--now', instant], /^--now/);
      await refused(['test-notice', '--now', instant], /^--now/);
      expect(existsSync(join(home, 'new'))).toBe(false);
    },
  );

  test.each(['', 'today', '2031-02-29', '2031-09-02', '1999-01-01', '2031-09-01T12:00'])(
    '%j is no day on which the work can have been done',
    async (day) => {
      await refused(['done', visit, '--on', day]);
    },
  );

  test('an unknown machine, visit, record, person, task or format names what there is', async () => {
    await refused(['reading', 'cider-pres', '147'], /no machine "cider-pres"\. Known: cider-press, hand-tiller\./);
    await refused(['import', 'x.csv', '--machine', 'press'], /no machine "press"\. Known: cider-press, hand-tiller\./);
    await refused(['sheet', 'visit-9'], /no open visit "visit-9"\. Next: /);
    await refused(['done', 'visit-9'], /no open visit "visit-9"\. Next: /);
    await refused(['undo', 'record-9'], /no such record \(found "record-9"\)/);
    await refused(['undo', '-5'], /no such record \(found "-5"\)/);
    await refused(['test-notice', 'nobody'], /nobody "nobody" in household\.yaml\. Known: ada, rui\./);
    await refused(['done', visit, '--tasks', 'chain'], /holds no such task \(found "chain"\)/);
    await refused(['done', visit, '--tasks', ''], /--tasks/);
    await refused(['done', visit, '--tasks', 'belt,'], /--tasks/);
    await refused(['export', '--format', 'xml'], /csv, json or html \(found "xml"\)/);
    await refused(['compute', 'horoscope'], /nothing to compute called "horoscope"/);
    await refused(['compute', '--', '-5'], /nothing to compute called "-5"/);
  });

  test('a machine without a meter takes no reading', async () => {
    await refused(['reading', 'hand-tiller', '5'], /no hour meter/);
  });

  test.each([
    [['--policy', 'guess'], /^--policy knows ours, calendar, line/],
    [['--seed', '-1'], /^--seed wants a number from 0/],
    [['--seed', '1e308'], /^--seed wants a number from 0/],
    [['--seed', ''], /^--seed/],
    [['--feed', '-0.5'], /^--feed wants a number from 0 to 1/],
    [['--feed', 'NaN'], /^--feed wants a number from 0 to 1/],
    [['--from', '2031-03-01', '--to', '2031-02-01'], /^--to 2031-02-01 lies before --from 2031-03-01/],
    [['--to', '2031-02-30'], /^--to: /],
    [['--tasks', ''], /^--tasks/],
    [['--tasks', 'chain'], /^--tasks: no machine has a task "chain"/],
    [['--person', ''], /^--person/],
  ])('rehearse refuses %j', async (options, words) => {
    const usage = join(home, 'usage.csv');
    writeFileSync(usage, 'day,machine,hours\n2031-01-05,cider-press,1\n');
    await refused(['rehearse', '--usage', usage, '--from', '2031-01-01', '--to', '2031-01-31', ...options], words);
  });

  test('nothing of all this left a trace', async () => {
    const { lines } = await shed('export', '--format', 'csv');
    expect(lines.join('\n').trim().split('\n')).toHaveLength(2);
  });
});

describe('the home folder', () => {
  const commands: readonly string[][] = [
    ['check'],
    ['start'],
    ['status'],
    ['visits', '--json'],
    ['sheet', 'x'],
    ['reading', 'cider-press', '147'],
    ['done', 'x'],
    ['undo', 'x'],
    ['import', 'x.csv', '--machine', 'cider-press'],
    ['export'],
    ['test-notice'],
    ['rehearse', '--usage', 'x.csv', '--from', '2031-01-01', '--to', '2031-02-01'],
  ];

  test.each(commands)('%s: a folder that is not there, or is a file', async (...argv) => {
    const file = join(home, 'household.yaml');
    for (const [dir, words] of [
      [join(home, 'nowhere'), /nowhere/],
      [file, /is a file/],
    ] as const) {
      const { status, lines, errors } = await command('--home', dir, ...argv);
      expect({ status, lines, count: errors.length }).toEqual({ status: 2, lines: [], count: 1 });
      expect(errors[0]).toMatch(words);
      expect(errors[0]).toContain('shedbell init');
    }
  });

  test.each(commands.slice(1))(
    '%s: YAML that cannot be read is named with its place, and nothing is written',
    async (...argv) => {
      const dir = stageCommandHome({ 'machines/cider-press.yaml': 'name: Cider press\nplan: [\n' });
      const { status, lines, errors } = await command('--home', dir, ...argv);
      expect({ status, lines, count: errors.length }).toEqual({ status: 2, lines: [], count: 1 });
      expect(errors[0]).toMatch(/cider-press\.yaml:\d+:\d+: /);
      expect(existsSync(join(dir, 'data'))).toBe(false);
      removeHome(dir);
    },
  );

  test('several errors: the first with its place, how many more, and check says them all', async () => {
    const dir = stageCommandHome({
      'household.yaml': 'name: Weir Cottage\ntimezone: Europe/Lisbon\ncolour: red\nlocale: 7\n',
    });
    const { errors } = await command('--home', dir, 'status');
    expect(errors).toEqual([
      expect.stringMatching(/household\.yaml:3:1: .*And 1 more: shedbell check says them all\.$/),
    ]);
    const check = await command('--home', dir, 'check');
    expect(check.status).toBe(2);
    expect(check.errors.filter((line) => /household\.yaml:\d+:\d+: /.test(line))).toHaveLength(2);
    removeHome(dir);
  });

  test('--home before or after the command, then SHEDBELL_HOME, then ./shed', async () => {
    const ok = { status: 0, errors: [] };
    expect(await command('--home', home, 'status', '--now', now)).toMatchObject(ok);
    expect(await command('status', '--now', now, '--home', home)).toMatchObject(ok);
    expect(await command('status', `--home=${home}`, '--now', now)).toMatchObject(ok);
    vi.stubEnv('SHEDBELL_HOME', home);
    expect(await command('status', '--now', now)).toMatchObject(ok);
    const nowhere = join(home, 'nowhere');
    expect((await command('status', '--home', nowhere)).errors[0]).toContain(nowhere);
    vi.stubEnv('SHEDBELL_HOME', nowhere);
    expect((await command('status')).errors[0]).toContain(nowhere);
    expect(await command('status', '--now', now, '--home', home)).toMatchObject(ok);
    vi.stubEnv('SHEDBELL_HOME', '  ');
    expect((await command('status')).errors[0]).toMatch(/^SHEDBELL_HOME /);
    vi.unstubAllEnvs();
  });

  test('a damaged store is one line and is left as it is', async () => {
    const dir = stageCommandHome();
    mkdirSync(join(dir, 'data'));
    writeFileSync(join(dir, 'data', 'shedbell.sqlite'), 'this is no database, but it is all somebody has');
    const { status, lines, errors } = await command('--home', dir, 'status');
    expect({ lines, count: errors.length }).toEqual({ lines: [], count: 1 });
    expect(status).not.toBe(0);
    expect(errors[0]).toContain('shedbell.sqlite');
    removeHome(dir);
  });
});

describe('SHEDBELL_PORT', () => {
  test.each(['x', '-1', '65536', '80.5', ' ', '0x50', '1e3', '99999999'])('%j is no port', async (port) => {
    vi.stubEnv('SHEDBELL_PORT', port);
    await refused(['start'], /^SHEDBELL_PORT wants a port/);
    await refused(['demo'], /^SHEDBELL_PORT wants a port/);
    vi.unstubAllEnvs();
  });
});
