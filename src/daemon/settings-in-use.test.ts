import { mkdtempSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { noLog } from '../../tests/stage/no-log.js';
import { parseDay, parseZone } from '../domain/day.js';
import { initHome } from '../home/write-example.js';

import { homeInUse, keepSettings } from './settings-in-use.js';

function newHome(): string {
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-settings-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('UTC') });
  return dir;
}

it('what was in use is found again after a slip, also where the change of copies was cut short', () => {
  const dir = newHome();
  expect(homeInUse(dir)).toBeNull();
  keepSettings(dir, noLog);
  writeFileSync(join(dir, 'household.yaml'), 'name: [\n');
  keepSettings(dir, noLog);
  expect(homeInUse(dir)?.machines.map(({ id }) => id)).toContain('hill-tractor');
  const kept = join(dir, 'data', 'settings-in-use');
  renameSync(kept, `${kept}.before`);
  expect(homeInUse(dir)?.machines.map(({ id }) => id)).toContain('hill-tractor');
});

it('a copy is made anew where a file changed, and left alone where none did', () => {
  const dir = newHome();
  keepSettings(dir, noLog);
  const file = join(dir, 'household.yaml');
  const copy = join(dir, 'data', 'settings-in-use', 'household.yaml');
  const { ino } = statSync(copy);
  keepSettings(dir, noLog);
  expect(statSync(copy).ino).toBe(ino);
  writeFileSync(file, `${readFileSync(file, 'utf8')}# seen to in spring\n`);
  keepSettings(dir, noLog);
  expect(readFileSync(copy, 'utf8')).toContain('seen to in spring');
});
