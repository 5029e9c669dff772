// A home folder with many machines and years of readings and records, for benches of the whole service.
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const main = fileURLToPath(new URL('../../dist/main.js', import.meta.url));

/** Machines that were read twice a month and served now and then, in a new home.
 *  @param folder  where the files that are imported are put, in `csv` */
export function fillHome(folder, home, { machines, years }) {
  execFileSync(process.execPath, [main, 'init', home], { stdio: 'ignore' });
  const example = join(home, 'machines/hill-tractor.yaml');
  const start = Date.now() - years * 365 * 86_400_000;
  const day = (n) => new Date(start + n * 86_400_000).toISOString().slice(0, 10);
  const text = readFileSync(example, 'utf8').replace(/^since: \S+/m, `since: ${day(0)}`);
  mkdirSync(join(folder, 'csv'));
  for (let m = 0; m < machines; m += 1) {
    const id = m === 0 ? 'hill-tractor' : `machine-${m}`;
    writeFileSync(join(home, `machines/${id}.yaml`), text.replace(/^name: .*$/m, `name: Machine ${m}`));
    const readings = ['day,hours'];
    const records = ['day,hours,tasks'];
    for (let n = 1, hours = 5 + m; n < years * 365 - 2; n += 15) {
      hours += 1 + 4 * (1 + Math.sin((2 * Math.PI * n) / 365 + m)) * (0.3 + ((n * 7 + m) % 5) / 10);
      readings.push(`${day(n)},${hours.toFixed(1)}`);
      if (n % 90 === 1) records.push(`${day(n)},${hours.toFixed(1)},${n % 360 === 1 ? 'engine-oil' : 'air-filter'}`);
    }
    for (const [name, rows] of [
      ['readings', readings],
      ['records', records],
    ]) {
      const file = join(folder, `csv/${name}-${m}.csv`);
      writeFileSync(file, `${rows.join('\n')}\n`);
      execFileSync(process.execPath, [main, '--home', home, 'import', file, '--machine', id], { stdio: 'ignore' });
    }
  }
}
