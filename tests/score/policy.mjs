// How reminders get the work done: invented owners live four years with the service, with a calendar reminder, and with a line through the
// last two of monthly readings. Run after a build:
//   node tests/score/policy.mjs                     the whole table on few machines: two of each of ten seeds, with a feed and of the whole plan one
//   node tests/score/policy.mjs LIMIT [owners a family] [seeds, such as 1 or 3-5] [policies] [feed share] [most owners a seed]
// LIMIT in hours, or `plan` for the whole tractor plan.
import { execFile } from 'node:child_process';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { liveCell, sayFigures } from './policy-cell.mjs';

const run = promisify(execFile);
const all = ['ours', 'calendar', 'line'];
const [limit, each = '1', seeds = '1', policies = all.join(','), share = '', most = ''] = process.argv.slice(2);

if (limit === undefined) await table();
else await cell();

async function cell() {
  const [first, last = first] = seeds.split('-').map(Number);
  for (const policy of policies.split(',')) {
    const figures = await liveCell({
      limit: limit === 'plan' ? limit : Number(limit),
      each: Number(each),
      seeds: Array.from({ length: last - first + 1 }, (_, i) => first + i),
      policy,
      feedShare: share === '' ? null : Number(share),
      ...(most !== '' && { most: Number(most) }),
    });
    console.log(`${policy.padEnd(9)}${figures.machines} machines, ${sayFigures(figures)}`);
  }
}

async function table() {
  const rows = [
    ...['50', '100', '200'].map((hours) => ({ title: `limit ${hours} h`, of: [hours, '1', '1-10'], tail: ['', '2'] })),
    { title: '100 h, with a feed', of: ['100', '1', '1-10'], tail: ['0.7', '1'] },
    { title: 'the whole tractor plan', of: ['plan', '1', '1-10'], tail: ['', '1'] },
  ];
  const waiting = rows.flatMap((row) =>
    all
      // A calendar and a line know one task.
      .filter((policy) => policy === 'ours' || row.of[0] !== 'plan')
      .map((policy) => ({ ...row, policy })),
  );
  const work = async () => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
      const { stdout } = await run(process.execPath, [
        fileURLToPath(import.meta.url),
        ...next.of,
        next.policy,
        ...next.tail,
      ]);
      console.log(`${next.title.padEnd(24)}${stdout.trim()}`);
    }
  };
  console.log('four years a machine, seeds 1 to 10, the person of `rehearse` by default; in the order of finishing');
  await Promise.all(Array.from({ length: Math.max(1, availableParallelism()) }, work));
}
