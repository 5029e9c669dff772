import { chmodSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { noLog } from '../../tests/stage/no-log.js';
import { parseDay, parseZone } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import { initHome } from '../home/write-example.js';
import { watchHome } from './reload.js';

it('a machine of a day years ahead is refused, the home before stays, and it is taken once the clock is right', () => {
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-reload-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('UTC') });
  const taken: Home[] = [];
  let nowMs = Date.parse('2027-04-09T12:00:00Z');
  const reload = watchHome(dir, { nowMs: () => nowMs, readings: () => [] }, (home) => taken.push(home), noLog);
  mkdirSync(join(dir, 'machines'), { recursive: true });
  writeFileSync(
    join(dir, 'machines', 'new-mower.yaml'),
    'name: New mower\nplan: library:ride-on-petrol-mower\nsince: 2037-04-20\n',
  );
  reload.look();
  expect(taken).toEqual([]);
  expect(reload.problems()).toEqual([
    expect.stringMatching(
      /settings before the change stay in use: machines\/new-mower\.yaml:3:8: This day lies years ahead/,
    ),
  ]);
  nowMs = Date.parse('2037-04-20T06:00:00Z');
  reload.look();
  expect(reload.problems()).toEqual([]);
  expect(taken.map(({ machines }) => machines.map(({ id }) => id))).toEqual([
    ['brush-cutter', 'hill-tractor', 'new-mower'],
  ]);
});

it('a folder that had errors at the start is said at the first look, and taken once it is right', () => {
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-reload-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('UTC') });
  const file = join(dir, 'machines', 'hill-tractor.yaml');
  const right = readFileSync(file, 'utf8');
  writeFileSync(file, `${right}\nplann: x\n`);
  const taken: Home[] = [];
  const witness = { nowMs: () => Date.parse('2027-04-09T12:00:00Z'), readings: () => [] };
  const reload = watchHome(dir, witness, (home) => taken.push(home), noLog, true);
  reload.look();
  expect(reload.problems()).toEqual([expect.stringMatching(/stay in use: .*hill-tractor\.yaml:\d+/)]);
  writeFileSync(file, right);
  reload.look();
  expect(reload.problems()).toEqual([]);
  expect(taken).toHaveLength(1);
});

it('a secret that changed is taken over, and one whose owner was put right, though no other file was touched', () => {
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-reload-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('UTC') });
  const file = join(dir, 'household.yaml');
  const smtp =
    'smtp: { host: mail.example.org, security: plain, from: a@example.org, user: a, passwordFile: secrets/mail }';
  writeFileSync(file, `${readFileSync(file, 'utf8')}\n${smtp}\n`);
  mkdirSync(join(dir, 'secrets'));
  const secret = join(dir, 'secrets', 'mail');
  writeFileSync(secret, 'the first\n');
  const passwords: unknown[] = [];
  const witness = { nowMs: () => Date.parse('2027-04-09T12:00:00Z'), readings: () => [] };
  const taken = (home: Home) => passwords.push(home.household.smtp?.password);
  const reload = watchHome(dir, witness, taken, noLog);
  reload.look();
  writeFileSync(secret, 'another one\n');
  reload.look();
  expect(passwords).toEqual(['another one']);
  chmodSync(secret, 0o400);
  reload.look();
  expect(passwords).toEqual(['another one', 'another one']);
  reload.look();
  expect(passwords).toHaveLength(2);
});
