// How well spans and dates hold, on machines whose future is known: invented owners (invented-owners.ts) and open data that decides when
// invented machines run (open-series.ts). Run after a build: node tests/score/score.mjs [seed] [machines a family]. Nothing here is
// measured run-time of small machines; none was at hand.
import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { seededRandom, seedFor } from '../../dist/rehearsal/random.js';
import { withFeed } from '../../dist/rehearsal/scoring/feed-cases.js';
import { inventOwners } from '../../dist/rehearsal/scoring/invented-owners.js';
import { layCases } from '../../dist/rehearsal/scoring/lay-cases.js';
import { openSeries } from '../../dist/rehearsal/scoring/open-series.js';
import { scoreFamily } from '../../dist/rehearsal/scoring/score-family.js';
import { scoreFeed } from '../../dist/rehearsal/scoring/score-feed.js';
import { shareTold, wrongWord } from '../../dist/rehearsal/scoring/wrong-word.js';

const seed = Number(process.argv[2] ?? 1);
const machines = Number(process.argv[3] ?? 20);
/** Cases a family. */
const wanted = machines * 10;

const table = (file) =>
  parse(readFileSync(new URL(`../data/${file}`, import.meta.resolve('vega-datasets'))), { columns: true });

const owners = inventOwners(machines, seededRandom(seedFor(seed, 'owners')));
const open = openSeries(table('weather.csv'), table('birdstrikes.csv'), seededRandom(seedFor(seed, 'calls')));

const families = new Map();
for (const series of [...owners, ...open])
  families.set(series.family, [...(families.get(series.family) ?? []), series]);

const share = (value) => value.toFixed(2).replace(/^0/, '').padStart(5);
const cell = (text, width) => String(text).padEnd(width);
const random = seededRandom(seedFor(seed, 'cases'));
const cases = new Map(
  [...families].map(([family, series]) => [
    family,
    series.flatMap((one) => layCases(one, Math.ceil(wanted / series.length), random)),
  ]),
);

console.log(
  `seed ${seed}; invented owners first, open data after the line; ratios against the best pencil method, the smaller the better\n`,
);
console.log(
  `${cell('family', 28)}${cell('season word', 15)}cases  due 50/80/95 % span holds  now 80 % (ties shared)  CRPS days  ratio  error ratio  Brier (pencil)  tenths`,
);
const sums = new Map();
for (const [family, list] of cases) {
  const { character, word } = list[0].series;
  if (family === open[0].family) console.log('-'.repeat(60));
  for (const said of ['unknown', word]) {
    const s = scoreFamily(list, said);
    const key = `${character}, ${said === 'unknown' ? 'no word' : 'true word'}`;
    sums.set(key, [...(sums.get(key) ?? []), s]);
    console.log(
      cell(family, 28) +
        cell(said, 15) +
        String(s.cases).padStart(5) +
        `  ${s.dueHeld.map(share).join(' ')}`.padEnd(27) +
        `${share(s.nowHeld)} (${share(s.nowHeldShared).trim()})`.padStart(22) +
        s.crps.toFixed(1).padStart(11) +
        share(s.crpsRatio).padStart(7) +
        share(s.errorRatio).padStart(13) +
        `${share(s.brier)} (${share(s.pencilBrier).trim()})`.padStart(16) +
        `  ${s.tenths.map((one) => Math.round(one * 100)).join(' ')}`,
    );
  }
}
const average = (list, of) => list.reduce((sum, one) => sum + of(one), 0) / list.length;
console.log('\nCRPS against the best pencil method, mean over families');
for (const [key, list] of [...sums].sort(([a], [b]) => a.localeCompare(b)))
  console.log(`${cell(key, 28)}${share(average(list, (one) => one.crpsRatio))}`);

console.log('\nA wrong season word: what it costs, and how often the owner is told that the readings contradict it');
console.log(`${cell('family', 28)}${cell('wrong word', 15)}80 % span holds  ratio  told wrong word  told true word`);
for (const [family, list] of cases) {
  const { word } = list[0].series;
  const wrong = wrongWord[word];
  const s = scoreFamily(list, wrong);
  console.log(
    cell(family, 28) +
      cell(wrong, 15) +
      share(s.dueHeld[1]).padStart(15) +
      share(s.crpsRatio).padStart(7) +
      share(shareTold(list, wrong)).padStart(17) +
      share(shareTold(list, word)).padStart(16),
  );
}

console.log('\nHours now with a feed that misses three days in ten, in blocks (median error, hours)');
console.log(`${cell('family', 28)}cases  readings alone   feed  ratio  ratio if κ were known  80 % span holds`);
const ratios = [];
const feedRandom = seededRandom(seedFor(seed, 'feed'));
for (const [family, list] of cases) {
  const s = scoreFeed(list.flatMap((one) => withFeed(one, feedRandom) ?? []));
  ratios.push(s.feedError / s.readingsError);
  console.log(
    cell(family, 28) +
      String(s.cases).padStart(5) +
      s.readingsError.toFixed(2).padStart(16) +
      s.feedError.toFixed(2).padStart(7) +
      share(s.feedError / s.readingsError).padStart(7) +
      share(s.knownRatioError / s.readingsError).padStart(23) +
      share(s.nowHeld).padStart(17),
  );
}
console.log(`${cell('mean ratio', 28)}${share(average(ratios, (one) => one))}`);
