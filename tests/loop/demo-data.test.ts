import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, onTestFinished, test } from 'vitest';
import { run } from '../../src/cli/run.js';

const demoData = fileURLToPath(new URL('../../demo-data', import.meta.url));

async function shedbell(...options: readonly string[]) {
  const lines: string[] = [];
  const errors: string[] = [];
  const status = await run(options, { line: (text) => lines.push(text), error: (text) => errors.push(text) });
  return { status, lines, errors };
}

test('the household of the demo is in order', async () => {
  expect(await shedbell('--home', join(demoData, 'home'), 'check')).toMatchObject({ status: 0, errors: [] });
});

test('the readings to try an import with can be imported into a fresh home, once', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-import-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const home = join(folder, 'shed');
  expect(await shedbell('init', home)).toMatchObject({ status: 0 });
  const readings = ['import', join(demoData, 'readings', 'hill-tractor.csv'), '--machine', 'hill-tractor'];
  expect(await shedbell('--home', home, ...readings)).toEqual({
    status: 0,
    lines: ['hill-tractor.csv: 11 readings and 0 records imported.'],
    errors: [],
  });
  const again = await shedbell('--home', home, ...readings);
  expect(again.lines).toEqual(['hill-tractor.csv: 0 readings and 0 records imported; known before: 11 rows.']);
  const { lines } = await shedbell('--home', home, 'status', '--json');
  const hill = JSON.parse(lines[0] ?? '').machines.find((m: { machine: string }) => m.machine === 'hill-tractor');
  expect(hill.lastReading.hours).toBe(452.9);
});
