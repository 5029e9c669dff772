import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdtempSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { text } from 'node:stream/consumers';
import { parse } from 'csv-parse/sync';
import { simpleParser } from 'mailparser';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { builtCommand, program, removeHome, requireBuilt, stageCommandHome } from '../stage/command.js';

// The built program as an owner or a script runs it: its streams, its exit status, its files.
const now = '2031-09-01T18:00';
const home = stageCommandHome();
beforeAll(async () => {
  requireBuilt();
  // Enough readings that what is exported is many times what a pipe holds.
  const rows = Array.from({ length: 1500 }, (_, i) => {
    const at = new Date(Date.UTC(2031, 0, 2) + i * 12_000_000).toISOString().slice(0, 19);
    return `${at}Z,${(100 + i / 25).toFixed(2)}`;
  });
  writeFileSync(join(home, 'many.csv'), `at,hours\n${rows.join('\n')}\n`);
  expect(
    await builtCommand(['--home', home, '--now', now, 'import', join(home, 'many.csv'), '--machine', 'cider-press']),
  ).toEqual({
    status: 0,
    out: 'many.csv: 1,500 readings and 0 records imported.\n',
    err: '',
  });
});
afterAll(() => removeHome(home));

const shed = (...argv: string[]) => builtCommand(['--home', home, '--now', now, ...argv]);

/** Runs the program through a shell, as `… | head -1` is. */
async function piped(line: string, input = '') {
  const script = `${JSON.stringify(process.execPath)} ${JSON.stringify(program)} --home ${JSON.stringify(home)} --now ${now} ${line}; printf '%s' "\${PIPESTATUS[*]}" >&2`;
  const child = spawn('bash', ['-c', script], { stdio: ['pipe', 'pipe', 'pipe'] });
  child.stdin.on('error', () => {});
  child.stdin.end(input);
  const [out, err] = await Promise.all([text(child.stdout), text(child.stderr), once(child, 'close')]);
  return { out, err };
}

describe('output', () => {
  test.each([['status'], ['visits']])(
    '%s --json is one line of JSON on standard output and nothing elsewhere',
    async (name) => {
      const { status, out, err } = await shed(name, '--json');
      expect({ status, err }).toEqual({ status: 0, err: '' });
      expect(out.match(/\n/g)).toHaveLength(1);
      expect(JSON.parse(out)).toBeTypeOf('object');
    },
  );

  test('a large export arrives whole through pipes', async () => {
    const { status, out, err } = await shed('export', '--format', 'csv');
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(out.length).toBeGreaterThan(100_000);
    expect(parse(out, { columns: true })).toHaveLength(1500);
    const through = await piped('export --format json | cat');
    expect(JSON.parse(through.out).machines).toHaveLength(2);
    expect(through.err).toBe('0 0');
  });

  test.each(['visits', 'status --json', 'export --format csv', 'export --format html', '--help'])(
    '%s | head -1: a reader who leaves early is no fault, and no stack is shown',
    async (line) => {
      const { out, err } = await piped(`${line} | head -1`);
      expect(out).toMatch(/^[^\n]+\n$/);
      expect(err).toBe('0 0');
    },
  );

  test('nobody reads at all, on either stream', async () => {
    expect((await piped('export | true')).err).toBe('0 0');
    expect((await piped('frobnicate 2>&1 | true')).err).toBe('2 0');
  });

  test('compute forecast ends with its reader, though its input never does', async () => {
    const { out, err } = await piped('compute forecast < <(yes "{}") | head -2');
    expect(out.split('\n').filter((line) => line !== '')).toHaveLength(2);
    expect(err).toBe('1 0');
  });

  test('a full disk behind the output is one line and exit status 1', async () => {
    const { err } = await piped('export > /dev/full');
    expect(err).toBe('The output could not be written (ENOSPC).\n1');
  });

  test('--help says every command, and help of each its options; both exit 0', async () => {
    const { status, out, err } = await shed('--help');
    expect({ status, err }).toEqual({ status: 0, err: '' });
    const names = [
      'init',
      'check',
      'start',
      'demo',
      'status',
      'visits',
      'sheet',
      'reading',
      'done',
      'undo',
      'import',
      'export',
      'rehearse',
      'test-notice',
      'compute',
    ];
    for (const name of names) expect(out).toMatch(new RegExp(`^  ${name}\\b`, 'm'));
    const { status: own, out: help } = await shed('reading', '--help');
    expect(own).toBe(0);
    expect(help).toMatch(/--confirm/);
  });

  test('bad use is one line on standard error, and exit status 2', async () => {
    for (const argv of [
      ['raeding'],
      ['reading', 'cider-press', '-5'],
      ['sheet', 'no\nsuch'],
      ['status', '--now', 'x'],
      [],
    ]) {
      const { status, out, err } = await shed(...argv);
      expect({ status, out }).toEqual({ status: 2, out: '' });
      expect(err).toMatch(/^[^\n]+\n$/);
      expect(err).not.toMatch(/node:|\.js:\d|Warning/);
    }
  });
});

describe('the program', () => {
  test('package.json names it, it can be run by itself, and through a link such as npx makes', async () => {
    const { bin } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
    expect(bin).toEqual({ shedbell: 'dist/main.js' });
    expect(readFileSync(program, 'utf8').split('\n')[0]).toBe('#!/usr/bin/env node');
    const folder = mkdtempSync(join(tmpdir(), 'shedbell-bin-'));
    symlinkSync(program, join(folder, 'shedbell'));
    const child = spawn(process.execPath, [join(folder, 'shedbell'), 'check', '--home', home], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    const [out, [status]] = await Promise.all([text(child.stdout), once(child, 'close')]);
    expect({ status, first: out.split('\n')[0] }).toEqual({ status: 0, first: expect.stringContaining('is in order') });
  });

  test('the home folder is ./shed where nothing else is said, and may be named from where one stands', async () => {
    const cwd = mkdtempSync(join(tmpdir(), 'shedbell-cwd-'));
    cpSync(home, join(cwd, 'shed'), { recursive: true });
    expect(await builtCommand(['check'], { cwd })).toMatchObject({ status: 0, err: '' });
    expect(
      await builtCommand(['check'], { cwd: dirname(cwd), env: { SHEDBELL_HOME: join(cwd, 'shed') } }),
    ).toMatchObject({ status: 0 });
    expect(await builtCommand(['check', '--home', 'shed'], { cwd })).toMatchObject({ status: 0 });
    expect(await builtCommand(['check', '--home', 'shed'], { cwd: join(cwd, 'shed') })).toMatchObject({ status: 2 });
  });
});

describe('the first evening on the command line', () => {
  const cwd = mkdtempSync(join(tmpdir(), 'shedbell-evening-'));
  const at = (...argv: string[]) => builtCommand([...argv, '--now', '2031-04-12T20:00'], { cwd });

  test('init writes a home that passes check; twice exits 2 and changes nothing', async () => {
    expect(await at('init', 'shed')).toMatchObject({ status: 0, err: '' });
    const household = readFileSync(join(cwd, 'shed', 'household.yaml'), 'utf8');
    expect(readFileSync(join(cwd, 'shed', 'machines', 'hill-tractor.yaml'), 'utf8')).toMatch(/^since: 2031-04-12\b/m);
    expect(await at('check')).toMatchObject({ status: 0, err: '' });
    writeFileSync(join(cwd, 'shed', 'household.yaml'), `${household}# mine\n`);
    const again = await at('init', 'shed');
    expect(again).toMatchObject({ status: 2, out: '', err: expect.stringMatching(/^[^\n]+\n$/) });
    expect(readFileSync(join(cwd, 'shed', 'household.yaml'), 'utf8')).toBe(`${household}# mine\n`);
    for (const taken of ['shed/household.yaml', 'shed/machines/../household.yaml'])
      expect((await at('init', taken)).status).toBe(2);
  });

  test('a new home has machines, none with a feed, a reading or first hours', async () => {
    const { out } = await at('status', '--json');
    const { machines } = JSON.parse(out);
    expect(machines.length).toBeGreaterThan(0);
    for (const machine of machines) expect(machine).toMatchObject({ feed: null, lastReading: null });
    expect(machines.find((m: { machine: string }) => m.machine === 'hill-tractor')).toMatchObject({ hoursNow: null });
  });

  test('its tractor takes a first reading, and a getting-to-know visit has a sheet and can be done', async () => {
    expect(await at('reading', 'hill-tractor', '384.2')).toMatchObject({ status: 0, err: '' });
    const { visits } = JSON.parse((await at('visits', '--json')).out);
    const visit = visits.find((v: { machine: string; by: string }) => v.machine === 'hill-tractor' && v.by === 'owner');
    expect(visit.kind).toBe('getting-to-know');
    const sheet = await at('sheet', visit.id);
    expect(sheet).toMatchObject({ status: 0, err: '' });
    expect(sheet.out.split('\n').length).toBeGreaterThan(20);
    expect(sheet.out).toMatch(
      /only where something else went in than the sheet says:\n {4}\[ \] .*: kind ______ not .* but ______/,
    );
    expect(await at('done', visit.id)).toMatchObject({ status: 0, err: '' });
    expect(await at('done', visit.id)).toMatchObject({
      status: 0,
      out: expect.stringMatching(/^Already on record: record-1/),
    });
  });

  test('test-notice leaves a letter in data/outbox that a mail program can read', async () => {
    const { status, out, err } = await at('test-notice');
    expect({ status, err }).toEqual({ status: 0, err: '' });
    const outbox = join(cwd, 'shed', 'data', 'outbox');
    const [name = ''] = readdirSync(outbox).filter((each) => each.endsWith('.eml'));
    expect(out).toContain(name);
    const letter = await simpleParser(readFileSync(join(outbox, name)));
    expect(letter.subject).toMatch(/test/i);
    expect(letter.text).toContain('Nothing is to be done.');
  });

  test('what the commands wrote is for this user only', () => {
    expect(statSync(join(cwd, 'shed', 'data')).mode & 0o077).toBe(0);
    expect(statSync(join(cwd, 'shed', 'data', 'shedbell.sqlite')).mode & 0o077).toBe(0);
  });
});
