import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { loadHome } from './load-home.js';

const broker = 'mqtt: { url: "mqtt://localhost:1883" }\n';

/** The faults of a household with one person, the folder's own name left out. */
function faultsOf(person: string, more = ''): string[] {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-home-'));
  writeFileSync(
    join(dir, 'household.yaml'),
    `name: Test House\ntimezone: Europe/Lisbon\n${more}people:\n  - id: ann\n    name: Ann\n${person}`,
  );
  const read = loadHome(dir);
  return read.kind === 'faults' ? read.faults.map(({ line }) => line.replaceAll(`${dir}/`, '')) : [];
}

test('mail for somebody without an address is refused, at its line and with what would be right', () => {
  expect(faultsOf('    ways:\n      mail: [work, late]\n')).toEqual([
    'household.yaml:7:13: These kinds are to come by mail, but this person has no mail address (found work, late). Set mail: with the address beside name:, or take mail out of ways.',
  ]);
  expect(faultsOf('    mail: ann@home.example\n    ways:\n      mail: [work, late]\n')).toEqual([]);
});

test('the topic without a broker is refused, and with one it is not', () => {
  expect(faultsOf('    ways:\n      topic: [late]\n')).toEqual([
    'household.yaml:7:14: These kinds are to come on the broker, but none is set (found late). Set mqtt: with the url of the broker, or take topic out of ways.',
  ]);
  expect(faultsOf('    ways:\n      topic: [late]\n', broker)).toEqual([]);
});

test('a way that carries nothing needs no set-up', () => {
  expect(faultsOf('    ways: { mail: [], topic: [], push: [work] }\n')).toEqual([]);
});

test('a way that does not exist is refused by its name', () => {
  const [fault = '', ...more] = faultsOf('    ways: { pigeon: [work] }\n');
  expect(more).toEqual([]);
  expect(fault).toMatch(/^household\.yaml:6:\d+: .*pigeon/);
});
