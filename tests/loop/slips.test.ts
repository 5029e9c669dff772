import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';

const script = new URL('../score/slips.mjs', import.meta.url).pathname;

test('slips of the hand are caught, and honest readings hardly ever questioned', async () => {
  const { stdout } = await promisify(execFile)(process.execPath, [script, '1', '2'], { encoding: 'utf8' });
  const honest = [...stdout.matchAll(/^honest, questioned: (\d+) of (\d+)$/gm)].map(([, asked, all]) =>
    [asked, all].map(Number),
  );
  expect(honest).toHaveLength(2);
  for (const [asked = 0, all = 0] of honest) {
    expect(all).toBeGreaterThan(60);
    expect(asked / all).toBeLessThan(0.02);
  }
  /** Percent of a slip, newest readings first, that are believed and that are named. */
  const told = (slip: string) =>
    [...stdout.matchAll(new RegExp(`^${slip} +\\d+ +[\\d.]+ % +[\\d.]+ % +([\\d.]+) % +([\\d.]+) %`, 'gm'))].map(
      ([, believed, named]) => [Number(believed), Number(named)] as const,
    );
  for (const slip of ['missing point', 'point misplaced', 'doubled', 'dropped']) {
    const [newest, late] = told(slip);
    expect(newest?.[0]).toBeLessThan(5);
    expect(newest?.[1]).toBeGreaterThan(50);
    expect(late?.[0]).toBeLessThan(5);
  }
}, 240_000);
