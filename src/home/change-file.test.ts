import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { parseDay, parseZone } from '../domain/day.js';
import { readHomeFile, writeChange } from './change-file.js';
import { initHome } from './write-example.js';

const file = 'machines/hill-tractor.yaml';
let dir: string;
beforeEach(() => {
  dir = join(mkdtempSync(join(tmpdir(), 'shedbell-change-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('Europe/Lisbon') });
});
afterEach(() => rmSync(join(dir, '..'), { recursive: true, force: true }));

test('what an editor saves while a change is judged is not written over', () => {
  const base = readHomeFile(dir, file)?.mark ?? '';
  const saved = '# saved by an editor just now\nname: Bank tractor\n';
  // Asked about the clock in the middle of the judging.
  const editor = {
    nowMs: () => {
      writeFileSync(join(dir, file), saved);
      return null;
    },
    readings: () => [],
  };
  const change = { kind: 'change', file, base, values: [{ path: ['name'], value: 'Slope tractor' }] } as const;
  const proposal = writeChange(dir, change, {}, editor);
  expect(proposal.kind === 'refused' && proposal.fault.code).toBe('file-changed');
  expect(readFileSync(join(dir, file), 'utf8')).toBe(saved);
  expect(readdirSync(join(dir, 'machines')).filter((name) => name.startsWith('.'))).toEqual([]);
});
