import { chmodSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { runInit } from '../cli/init.js';
import { parseDay, parseZone } from '../domain/day.js';
import { loadHome } from './load-home.js';
import { initHome } from './write-example.js';

const now = { today: parseDay('2031-05-17'), zone: parseZone('America/Chicago') };
let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shedbell-init-'));
});

describe('init', () => {
  it('writes a home that passes every check, begins today and has nothing that needs an account', () => {
    const dir = join(folder, 'deep', 'shed');
    expect(initHome(dir, now).kind).toBe('written');
    const read = loadHome(dir);
    if (read.kind !== 'home') throw new Error(read.faults.map(({ line }) => line).join('\n'));
    const { household, machines } = read.home;
    expect(household).toMatchObject({ zone: 'America/Chicago', http: { host: '127.0.0.1', port: 8377 } });
    expect(household.smtp ?? household.mqtt ?? household.address).toBeUndefined();
    expect(machines.map(({ id }) => id)).toEqual(['brush-cutter', 'hill-tractor']);
    for (const machine of machines) {
      expect(machine.since).toBe('2031-05-17');
      expect(machine.feed).toBeUndefined();
      expect(machine.meter.kind === 'none' || machine.meter.first === undefined).toBe(true);
      expect(new Set(Object.values(machine.last).map(({ kind }) => kind))).toEqual(new Set(['unknown']));
      expect(Object.keys(machine.last)).toHaveLength(machine.tasks.length);
    }
  });

  it('keeps facts and secrets out of version control', () => {
    initHome(folder, now);
    expect(readFileSync(join(folder, '.gitignore'), 'utf8')).toMatch(/^data\/\nsecrets\/$/m);
  });

  it('leaves nothing behind but the home', () => {
    const dir = join(folder, 'shed');
    initHome(dir, now);
    expect(readdirSync(folder)).toEqual(['shed']);
    expect(readdirSync(dir).sort()).toEqual(['.gitignore', 'household.yaml', 'machines']);
  });

  it('fills a folder that is there and holds other things', () => {
    writeFileSync(join(folder, 'notes.txt'), 'mine');
    expect(initHome(folder, now).kind).toBe('written');
    expect(readdirSync(folder).sort()).toEqual(['.gitignore', 'household.yaml', 'machines', 'notes.txt']);
  });

  it('refuses a folder with a home and changes nothing in it', () => {
    initHome(folder, now);
    writeFileSync(join(folder, 'household.yaml'), 'name: mine');
    const again = initHome(folder, now);
    expect(again.kind === 'faults' ? again.faults.map(({ line }) => line) : []).toEqual([
      `${folder}/household.yaml: This folder has a home already. Name another folder; nothing was changed here.`,
    ]);
    expect(readFileSync(join(folder, 'household.yaml'), 'utf8')).toBe('name: mine');
  });

  it('refuses to overwrite a machine, and a name that is a file', () => {
    mkdirSync(join(folder, 'machines'));
    writeFileSync(join(folder, 'machines', 'hill-tractor.yaml'), 'mine');
    expect(initHome(folder, now).kind).toBe('faults');
    expect(existsSync(join(folder, 'household.yaml'))).toBe(false);
    const file = join(folder, 'file');
    writeFileSync(file, '');
    const read = initHome(file, now);
    expect(read.kind === 'faults' ? read.faults[0]?.code : null).toBe('home-exists');
  });

  it('takes everything back when a file cannot be put in place', () => {
    // A folder without a right to write, or (where the tests run as root, who may) a name that is taken by a folder.
    mkdirSync(join(folder, 'machines'));
    mkdirSync(join(folder, 'machines', 'brush-cutter.yaml'));
    chmodSync(folder, 0o755);
    expect(initHome(folder, now).kind).toBe('faults');
    expect(readdirSync(folder)).toEqual(['machines']);
  });
});

describe('the init command', () => {
  const run = (dir: string) => {
    const lines: string[] = [];
    const errors: string[] = [];
    const status = runInit(dir, { line: (text) => lines.push(text), error: (text) => errors.push(text) });
    return { status, lines, errors };
  };

  it('says what was written, what comes next, and that links open here only', () => {
    const dir = join(folder, 'shed');
    const { status, lines, errors } = run(dir);
    expect({ status, errors }).toEqual({ status: 0, errors: [] });
    expect(lines).toContain(`  ${dir}/household.yaml`);
    expect(lines.join('\n')).toContain('Links in messages open on this computer only');
  });

  it('exits 2 on one line where a home is there already, and for an empty name', () => {
    initHome(folder, now);
    expect(run(folder)).toMatchObject({
      status: 2,
      lines: [],
      errors: [expect.stringContaining('has a home already')],
    });
    expect(run(' ')).toMatchObject({ status: 2, lines: [], errors: [expect.stringContaining('empty name')] });
  });
});
