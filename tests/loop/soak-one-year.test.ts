import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const zone = 'Australia/Hobart';
/** A year is a few hundred turns of the whole service. */
const longMs = 600_000;

test(
  'a leap year in a southern zone breaks no invariant of the long run',
  async () => {
    // A run that ends with another status than 0 rejects, with what it printed.
    const { stdout } = await promisify(execFile)(process.execPath, ['tests/torture/soak.mjs', '1', zone], {
      cwd: root,
    });
    expect(stdout).toContain(`${zone}: 1 year, 0 broken invariants`);
  },
  longMs,
);
