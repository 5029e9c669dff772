import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { toldMarker } from './told-marker.js';

let dir: string;
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'shedbell-told-'));
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

test('what was told is known to the next process, until the trouble is over', () => {
  const first = toldMarker(dir, 'disk');
  expect(first.knownSinceMs()).toBeNull();
  first.sinceMs(1000);
  first.add('disk-ada-0 mail', 2000);
  const second = toldMarker(dir, 'disk');
  expect(second.has('disk-ada-0 mail')).toBe(true);
  expect(second.knownSinceMs()).toBe(1000);
  second.clear();
  expect(toldMarker(dir, 'disk').has('disk-ada-0 mail')).toBe(false);
});

test('where the folder takes no file, nobody is told twice while the process runs', () => {
  // A folder in the place of the file that is written first: nothing can be put there.
  mkdirSync(join(dir, 'told-disk.json.part'));
  toldMarker(dir, 'disk').add('disk-ada-0 mail', 1000);
  const later = toldMarker(dir, 'disk');
  expect(later.has('disk-ada-0 mail')).toBe(true);
  later.clear();
  expect(toldMarker(dir, 'disk').has('disk-ada-0 mail')).toBe(false);
});

test('a marker that cannot be read counts as nothing told', () => {
  writeFileSync(join(dir, 'told-disk.json'), '{"sinceMs":');
  expect(toldMarker(dir, 'disk').has('disk-ada-0 mail')).toBe(false);
});
