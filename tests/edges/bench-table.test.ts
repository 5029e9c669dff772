import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';

const all = new URL('../bench/all.mjs', import.meta.url).pathname;

/** A row's name begins so. */
const wanted = [
  'forecast: times as fast as 10,000 simulated paths',
  'forecast: largest difference in probability',
  'forecast of 1,000 machines: time of each',
  'forecast of 1,000 machines: time of the later half',
  'forecast of 1,000 machines: most memory',
  'feed, every message changes the total: messages a second to one row',
  'feed, every message changes the total: messages a second to a bare client',
  'feed, 1 in 12 does (2 hours of 24): messages a second to one row',
  'feed: bytes written a day',
  'feed: growth of the database',
  'service: resident memory, idle',
  'service: resident memory after 14 simulated days',
  'service: start to first page',
  'service: latency of the first page',
  'grouping of 40 tasks: time',
  'grouping of 40 tasks: share not proven best',
  'order of 20 classes: time',
  'order of 20 classes: share not proven best',
];

test('the table of costs has a line for each claim, with median, spread and aim', async () => {
  const { stdout } = await promisify(execFile)(process.execPath, [all, '--quick'], { encoding: 'utf8' });
  const [costs = '', growth = ''] = stdout.trim().split('\n\n');
  const rows = costs.split('\n').slice(2);
  const missing = wanted.filter((name) => !rows.some((row) => row.startsWith(`| ${name}`)));
  expect(missing).toEqual([]);
  const number = String.raw`[-\d.e+]+(?: ms)?`;
  const shape = new RegExp(
    String.raw`^\| [^|]+ \| ${number} \| ${number} to ${number} \| (?:(?:at most|at least) [\d.]+ \| (?:yes|no)|none \| ) \|$`,
  );
  expect(rows.filter((row) => !shape.test(row))).toEqual([]);
  // Six costs, three sizes each, and the power they grow with.
  const grown = growth.split('\n').slice(2);
  const three = String.raw`[\d.e+]+, [\d.e+]+, [\d.e+]+`;
  expect(grown).toHaveLength(6);
  expect(
    grown.filter(
      (row) => !new RegExp(String.raw`^\| [^|]+ \| [^|]+ \| ${three} \| ${three} \| -?[\d.]+ \|$`).test(row),
    ),
  ).toEqual([]);
  expect(readFileSync(new URL('../pictures/growth.svg', import.meta.url), 'utf8')).toMatch(/^<svg .*<\/svg>\n$/s);
}, 300_000);
