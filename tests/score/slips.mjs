// Whether slips of the hand are caught when a reading is entered, on invented owners and open data whose truth is known: honest readings
// that are questioned, slips that are refused or questioned, and how often the question names the true value. Newest readings and
// readings entered late, between two others. Run after a build: node tests/score/slips.mjs [seed] [machines a family]. How often hands
// slip, and how, is invented.
import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { believeReading } from '../../dist/hours/believe.js';
import { seededRandom, seedFor } from '../../dist/rehearsal/random.js';
import { evidenceFor } from '../../dist/rehearsal/scoring/estimate-for.js';
import { inventOwners } from '../../dist/rehearsal/scoring/invented-owners.js';
import { layCases } from '../../dist/rehearsal/scoring/lay-cases.js';
import { openSeries } from '../../dist/rehearsal/scoring/open-series.js';

const seed = Number(process.argv[2] ?? 1);
const machines = Number(process.argv[3] ?? 20);
const random = seededRandom(seedFor(seed, 'slips'));
const table = (file) =>
  parse(readFileSync(new URL(`../data/${file}`, import.meta.resolve('vega-datasets'))), { columns: true });
const series = [
  ...inventOwners(machines, seededRandom(seedFor(seed, 'owners'))),
  ...openSeries(table('weather.csv'), table('birdstrikes.csv'), seededRandom(seedFor(seed, 'calls'))),
];
const cases = series.flatMap((one) => layCases(one, 6, random));
const pick = (list) => list[Math.floor(random() * list.length)];

/** Each makes another number of the digits of a reading with tenths, or null where it cannot. */
const slips = {
  'missing point': (t) => t.replace('.', ''),
  'point misplaced': (t) => {
    const digits = t.replace('.', '');
    const at = t.indexOf('.') - 1;
    return at < 1 ? null : `${digits.slice(0, at)}.${digits.slice(at)}`;
  },
  swapped: (t) => {
    const at = Math.floor(random() * (t.length - 1));
    return t[at] === '.' || t[at + 1] === '.' ? null : t.slice(0, at) + t[at + 1] + t[at] + t.slice(at + 2);
  },
  doubled: (t) => {
    const at = Math.floor(random() * (t.length - 2));
    return t.slice(0, at) + t[at] + t.slice(at);
  },
  dropped: (t) => {
    const at = Math.floor(random() * (t.length - 2));
    return t.slice(0, at) + t.slice(at + 1);
  },
  'wrong digit': (t) => {
    const at = Math.floor(random() * t.length);
    return t[at] === '.' ? null : t.slice(0, at) + Math.floor(random() * 10) + t.slice(at + 1);
  },
};

/** One reading a case: the newest as it truly stands now, or one in the midst that is entered late. */
function entries(isLate) {
  return cases.flatMap((one) => {
    const { readings, nowMs } = one.question;
    if (!isLate) return [{ one, atMs: nowMs, truth: one.trueHoursNow }];
    if (readings.length < 3) return [];
    const at = 1 + Math.floor(random() * (readings.length - 2));
    const left = { ...one.question, readings: readings.filter((_, i) => i !== at) };
    return [{ one: { ...one, question: left }, atMs: readings[at].atMs, truth: readings[at].hours }];
  });
}

function judge({ one, atMs }, hours, others = []) {
  const evidence = evidenceFor(one.question, false);
  const machine = { id: 'm', name: 'M', meter: { kind: 'meter', counts: 'engine-speed', changes: [] } };
  const belief = believeReading(machine, evidence, { zone: 'UTC' }, { atMs, hours }, one.question.nowMs, () => others);
  const said = belief.kind === 'refused' ? belief.fault.remedy : belief.kind === 'questionable' ? belief.question : '';
  return { kind: belief.kind, said };
}

const share = (n, of) => (of === 0 ? '  -' : `${((100 * n) / of).toFixed(1)} %`).padStart(8);
for (const isLate of [false, true]) {
  const list = entries(isLate);
  console.log(
    `\n${isLate ? 'entered late, between two others' : 'newest reading'}: ${list.length} readings, seed ${seed}`,
  );
  let asked = 0;
  for (const entry of list) if (judge(entry, Math.round(entry.truth * 10) / 10).kind !== 'believed') asked += 1;
  console.log(`honest, questioned: ${asked} of ${list.length}`);
  console.log(
    `${'slip'.padEnd(18)}${['entered', 'refused', 'asked', 'believed', 'named'].map((w) => w.padStart(8)).join('')}   hours wrong where believed: median, worst tenth`,
  );
  const lines = [
    ...Object.entries(slips).map(([name, slip]) => [
      name,
      (entry) => ({ typed: slip((Math.round(entry.truth * 10) / 10).toFixed(1)), others: [] }),
    ]),
    [
      'other machine',
      (entry) => {
        const other = pick(cases.filter((c) => c !== entry.one));
        const h = other.trueHoursNow;
        return {
          typed: h.toFixed(1),
          others: [{ name: 'Other', hoursNow: { p10: h - 3, p50: h - 0.5, p90: h + 3 } }],
          names: 'Other',
        };
      },
    ],
  ];
  for (const [name, make] of lines) {
    const count = { entered: 0, refused: 0, questionable: 0, believed: 0, named: 0 };
    const wrong = [];
    for (const entry of list) {
      const made = make(entry);
      const truth = Math.round(entry.truth * 10) / 10;
      if (made.typed === null || Number(made.typed) === truth) continue;
      const { kind, said } = judge(entry, Number(made.typed), made.others);
      count.entered += 1;
      count[kind] += 1;
      if (kind === 'believed') wrong.push(Math.abs(Number(made.typed) - truth));
      else if (said.includes(made.names ?? `mean ${truth} h`)) count.named += 1;
    }
    wrong.sort((a, b) => a - b);
    const at = (q) => (wrong[Math.floor(q * wrong.length)] ?? 0).toFixed(1).padStart(7);
    console.log(
      name.padEnd(18) +
        String(count.entered).padStart(8) +
        [count.refused, count.questionable, count.believed, count.named].map((n) => share(n, count.entered)).join('') +
        `   ${at(0.5)} ${at(0.9)}`,
    );
  }
}
