// How reminders get one task done: invented owners live four years with the service, with a calendar reminder, and with a line through the
// last two of monthly readings. Run after a build: node tests/score/policy.mjs [limit in hours] [owners a profile] [seed] [policies] [feed share]
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { addDays, dayNumbered, parseDay } from '../../dist/domain/day.js';
import { loadHome } from '../../dist/home/load-home.js';
import { defaultHabits } from '../../dist/rehearsal/person/habits.js';
import { seededRandom, seedFor } from '../../dist/rehearsal/random.js';
import { rehearse } from '../../dist/rehearsal/rehearse.js';
import { gauss, inventOwners } from '../../dist/rehearsal/scoring/invented-owners.js';
import { figuresOf } from '../../dist/rehearsal/scoring/service-figures.js';

const [limit = 50, each = 2, seed = 1] = process.argv.slice(2, 5).map(Number);
const policies = (process.argv[5] ?? 'ours,calendar,line').split(',');
const feedShare = process.argv[6] === undefined ? null : Number(process.argv[6]);
const leadDays = 7;
const years = 4;

const owners = inventOwners(each, seededRandom(seedFor(seed, 'owners')));
const guess = seededRandom(seedFor(seed, 'guess'));
const homes = mkdtempSync(join(tmpdir(), 'shedbell-score-'));

/** A home with one machine and one task. */
function homeFor(owner, number) {
  const from = parseDay(dayNumbered(owner.firstDay));
  const to = addDays(from, Math.round(years * 365.25));
  const dir = join(homes, String(number));
  mkdirSync(join(dir, 'machines'), { recursive: true });
  mkdirSync(join(dir, 'plans'));
  writeFileSync(
    join(dir, 'household.yaml'),
    'name: Scored\ntimezone: UTC\npeople: [{ id: ana, name: Ana, mail: ana@home.example }]\nworkingDays: [sat, sun]\n',
  );
  writeFileSync(
    join(dir, 'plans', 'one.yaml'),
    `title: One task\ntasks:\n  - id: oil\n    title: Change the oil\n    every: { hours: ${limit} }\n    minutes: 40\n    parts: [{ name: oil filter, quantity: 1, leadDays: ${leadDays} }]\n`,
  );
  const days = Array.from({ length: Math.round(years * 365.25) + 1 }, (_, d) => d);
  const truePerYear = days.reduce((sum, d) => sum + owner.hours[d], 0) / years;
  // What the owner believes is a quarter off, give or take.
  const believed = Math.max(5, Math.round(truePerYear * Math.exp(0.25 * gauss(guess))));
  writeFileSync(
    join(dir, 'machines', 'machine.yaml'),
    `name: Machine\nplan: one\nsince: ${from}\nmeter: { counts: clock, first: { hours: 100, on: ${from} } }\nexpect: { hoursPerYear: ${believed}, season: ${owner.word} }\n`,
  );
  const read = loadHome(dir);
  if (read.kind !== 'home') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  const usage = new Map([
    ['machine', days.map((d) => ({ day: addDays(from, d), hours: Math.min(11.5, owner.hours[d]) }))],
  ]);
  return { home: read.home, usage, from, to };
}

const scenes = owners.map(homeFor);
console.log(
  `limit ${limit} h, ${scenes.length} machines of ${years} years, seed ${seed}${feedShare === null ? '' : `, feed on ${feedShare} of the days`}`,
);
for (const policy of policies) {
  const before = process.cpuUsage();
  const reports = [];
  for (const [i, scene] of scenes.entries()) {
    reports.push(
      await rehearse({
        ...scene,
        habits: { ...defaultHabits, seed: seed * 1000 + i },
        feedShare,
        tasks: null,
        policy,
        stopping: new AbortController().signal,
      }),
    );
  }
  const f = figuresOf(reports, scenes[0].from, scenes[0].to, leadDays);
  const cpu = (process.cpuUsage(before).user / 1e6 / scenes.length).toFixed(1);
  console.log(
    `${policy.padEnd(9)} ${f.services} services, on time ${f.onTime.toFixed(3)}, wasted ${f.wasted.toFixed(3)}, questions and trips in vain a year ${f.troubles.toFixed(2)}, messages a service ${f.messages.toFixed(2)}, parts in hand ${f.partsInHand.toFixed(3)} (${cpu} s a machine)`,
  );
  if (process.env.EACH)
    scenes.forEach((_, i) => {
      const r = reports[i];
      console.log(
        owners[i].name.padEnd(30),
        r.services.length,
        r.questions,
        r.wastedTrips,
        r.messages,
        r.services.map((s) => s.overHours).join(' '),
      );
    });
}
rmSync(homes, { recursive: true });
