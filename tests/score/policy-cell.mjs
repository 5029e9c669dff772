// One cell of the table of reminders: invented owners live four years under one policy, with one task or with the whole tractor plan.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { addDays, dayNumber, dayNumbered, parseDay } from '../../dist/domain/day.js';
import { loadHome } from '../../dist/home/load-home.js';
import { defaultHabits } from '../../dist/rehearsal/person/habits.js';
import { seededRandom, seedFor } from '../../dist/rehearsal/random.js';
import { rehearse } from '../../dist/rehearsal/rehearse.js';
import { gauss, inventOwners, inventWeekendOwners } from '../../dist/rehearsal/scoring/invented-owners.js';
import { figuresOf } from '../../dist/rehearsal/scoring/service-figures.js';

const leadDays = 7;
const years = 4;
const lastIndex = Math.round(years * 365.25);
const onePlan = (limit) =>
  `title: One task\ntasks:\n  - id: oil\n    title: Change the oil\n    every: { hours: ${limit} }\n    minutes: 40\n    parts: [{ name: oil filter, quantity: 1, leadDays: ${leadDays} }]\n`;

/** A home with one machine. */
function homeFor(owner, believed, limit, dir) {
  const from = parseDay(dayNumbered(owner.firstDay));
  const to = addDays(from, lastIndex);
  mkdirSync(join(dir, 'machines'), { recursive: true });
  mkdirSync(join(dir, 'plans'));
  writeFileSync(
    join(dir, 'household.yaml'),
    'name: Scored\ntimezone: UTC\npeople: [{ id: ana, name: Ana, mail: ana@home.example }]\nworkingDays: [sat, sun]\n',
  );
  if (limit !== 'plan') writeFileSync(join(dir, 'plans', 'one.yaml'), onePlan(limit));
  const plan = limit === 'plan' ? 'library:compact-diesel-tractor\nlast: fine-as-bought' : 'one';
  writeFileSync(
    join(dir, 'machines', 'machine.yaml'),
    `name: Machine\nplan: ${plan}\nsince: ${from}\nmeter: { counts: clock, first: { hours: 100, on: ${from} } }\nexpect: { hoursPerYear: ${believed}, season: ${owner.word} }\n`,
  );
  const read = loadHome(dir);
  if (read.kind !== 'home') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  const usage = Array.from({ length: lastIndex + 1 }, (_, d) => ({
    day: addDays(from, d),
    hours: Math.min(11.5, owner.hours[d]),
  }));
  return { home: read.home, usage: new Map([['machine', usage]]), from, to };
}

/** Owners of one seed with what they believe of their hours: a quarter off, give or take. */
function ownersOf(seed, each) {
  const owners = [
    ...inventOwners(each, seededRandom(seedFor(seed, 'owners'))),
    ...inventWeekendOwners(each, seededRandom(seedFor(seed, 'weekend owners'))),
  ];
  const guess = seededRandom(seedFor(seed, 'guess'));
  return owners.map((owner, i) => {
    const perYear = owner.hours.slice(0, lastIndex + 1).reduce((sum, hours) => sum + hours, 0) / years;
    const believed = Math.max(5, Math.round(perYear * Math.exp(0.25 * gauss(guess))));
    return { owner, believed, seed: seed * 1000 + i };
  });
}

/** On time in the whole plan: by the hours within a tenth of the interval, and where the calendar came first not past it by more than a
 *  tenth (a week at least). Pulled forward on purpose is counted apart; waste is of what the hours limit. */
function wholePlan(reports, tasks) {
  const services = reports.flatMap((report) => report.services);
  const judged = services.filter((service) => !service.pulledForward);
  const toleranceDays = (id) => {
    const months = tasks.find((task) => task.id === id)?.every?.months ?? 0;
    return Math.max(7, Math.round((months * 365.25) / 120));
  };
  const inTime = (s) => {
    if (s.limit === 'hours') return s.overHours <= s.toleranceHours;
    return dayNumber(s.doneOn) - dayNumber(s.trueDue) <= toleranceDays(s.task);
  };
  const byHours = judged.filter((service) => service.limit === 'hours');
  return {
    onTime: judged.filter(inTime).length / judged.length,
    wasted: byHours.reduce((sum, s) => sum + Math.max(0, -s.overHours) / s.intervalHours, 0) / byHours.length,
    pulledForward: services.length - judged.length,
  };
}

/** Figures of one policy over all owners of the seeds.
 *  @param limit  hours, or 'plan' for the whole tractor plan */
export async function liveCell({ limit, each, seeds, policy, feedShare, most = Number.POSITIVE_INFINITY }) {
  const homes = mkdtempSync(join(tmpdir(), 'shedbell-score-'));
  const owners = seeds.flatMap((seed, i) => {
    const all = ownersOf(seed, each);
    // A part of the owners: other ones in each seed, so that every family has its turn.
    return all.length <= most ? all : Array.from({ length: most }, (_, k) => all[(i * most + k) % all.length]);
  });
  try {
    const reports = [];
    let days = null;
    for (const [i, { owner, believed, seed }] of owners.entries()) {
      const scene = homeFor(owner, believed, limit, join(homes, String(i)));
      days ??= scene;
      reports.push(
        await rehearse({
          ...scene,
          habits: { ...defaultHabits, seed },
          feedShare,
          tasks: null,
          policy,
          stopping: new AbortController().signal,
        }),
      );
    }
    const figures = figuresOf(reports, days.from, days.to, leadDays);
    const whole = limit === 'plan' ? wholePlan(reports, days.home.machines[0].tasks) : null;
    return { machines: owners.length, ...figures, ...whole };
  } finally {
    rmSync(homes, { recursive: true });
  }
}

/** What the figures say, in one line. */
export function sayFigures(f) {
  const forward = f.pulledForward === undefined ? '' : `, ${f.pulledForward} pulled forward on purpose`;
  return `${f.services} services, on time ${f.onTime.toFixed(3)}, wasted ${f.wasted.toFixed(3)}, questions and trips in vain a year ${f.troubles.toFixed(2)}, messages a service ${f.messages.toFixed(2)}, parts in hand ${f.partsInHand.toFixed(3)}${forward}`;
}
