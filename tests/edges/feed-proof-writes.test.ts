import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, expect, test } from 'vitest';

const script = fileURLToPath(new URL('../bench/feed-writes.mjs', import.meta.url));
const built = fileURLToPath(new URL('../../dist/feed/watch.js', import.meta.url));
const days = 2;

beforeAll(() => {
  if (process.env.SHEDBELL_BUILT === undefined && !existsSync(built)) {
    throw new Error('This test measures the built service: run "npm run build" first.');
  }
});

/** The first line is the whole measurement; lines for the table of all costs follow it. */
function measure(forDays: number, kind: string): unknown {
  const said = execFileSync(process.execPath, [script, String(forDays), kind], { encoding: 'utf8' });
  return JSON.parse(said.split('\n')[0] ?? '');
}

test.each(['run-seconds', 'running', 'voltage', 'meter-hours'])(
  'a machine with a %s sensor that reports every 10 s and runs 2 hours a day writes under 10 MB a day and grows by under 20 kB',
  (kind) => {
    const figures = measure(days, kind);
    expect(figures).toMatchObject({ kind, refused: 0, countedHours: 2 * (days + 1), ranHours: 2 * (days + 1) });
    const { growthBytesPerDay, writtenBytesPerDay, diskBytesPerDay } = figures as Record<string, number>;
    expect(growthBytesPerDay).toBeLessThan(20_000);
    expect(writtenBytesPerDay).toBeGreaterThan(100_000);
    expect(writtenBytesPerDay).toBeLessThan(10_000_000);
    expect(diskBytesPerDay).toBeLessThan(10_000_000);
  },
);

test('one run is one row, however often its machine reports', () => {
  expect(measure(1, 'running')).toMatchObject({ runs: 4, coverage: 1 });
});
