import { z } from 'zod';
import { parseDay, weekdays } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import { readYaml } from '../home/read-yaml.js';
import { readBySchema } from '../home/schema-faults.js';
import { yamlMap } from '../home/yaml-map.js';
import { LifeStopped } from '../rehearsal/live-through.js';
import { defaultHabits, type PersonHabits } from '../rehearsal/person/habits.js';
import { policyNames, rehearse } from '../rehearsal/rehearse.js';
import type { RehearsalReport } from '../rehearsal/report.js';
import { sayCount } from '../words/counts.js';
import { type At, optionValue, readHome } from './at.js';
import { BadInput, exitStatus, type Output, print } from './output.js';
import { readText, usageByMachine } from './usage-file.js';

/** As typed. */
export interface RehearseOptions {
  readonly usage: string;
  readonly from: string;
  readonly to: string;
  readonly person?: string;
  readonly feed?: string;
  readonly policy: string;
  readonly tasks?: string;
  readonly seed?: string;
  readonly json?: true;
}

/** The largest seed that is not cut short. */
const mostSeed = 4_294_967_295;

const share = z.number().min(0).max(1);
const habitsSchema = yamlMap({
  answersReading: share.default(defaultHabits.answersReading),
  delayDays: z
    .tuple([z.int().min(0).max(60), z.int().min(0).max(60)])
    .refine(([from, to]) => from <= to, 'wants the smaller number first')
    .default([...defaultHabits.delayDays]),
  worksOn: z
    .array(z.enum(weekdays))
    .min(1)
    .default([...defaultHabits.worksOn]),
  doesWork: share.default(defaultHabits.doesWork),
  buysParts: share.default(defaultHabits.buysParts),
  seed: z.int().min(0).max(mostSeed).default(defaultHabits.seed),
});

/** `shedbell rehearse`: the whole service, fast, against a scripted usage; prints what came of it. */
export async function runRehearse(at: At, options: RehearseOptions, out: Output): Promise<number> {
  const { home } = readHome(at);
  const policy = policyNames.find((name) => name === options.policy);
  if (policy === undefined) {
    throw new BadInput(`--policy knows ${policyNames.join(', ')} (found ${JSON.stringify(options.policy)}).`);
  }
  const from = optionValue('--from', options.from, parseDay);
  const to = optionValue('--to', options.to, parseDay);
  if (to < from) throw new BadInput(`--to ${to} lies before --from ${from}.`);
  const rehearsal = {
    home,
    usage: usageByMachine(options.usage, home),
    from,
    to,
    habits: habitsFrom(options),
    feedShare: options.feed === undefined ? null : numberIn('--feed', options.feed, 0, 1),
    tasks: options.tasks === undefined ? null : taskNames(options.tasks, home),
    policy,
  };
  const stopping = new AbortController();
  const stop = () => stopping.abort();
  for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, stop);
  try {
    const report = await rehearse({ ...rehearsal, stopping: stopping.signal });
    print(out, options.json === true, report, summary(report));
    return exitStatus.fine;
  } catch (failure) {
    if (!(failure instanceof LifeStopped)) throw failure;
    out.error('The rehearsal was stopped before its end.');
    return exitStatus.failed;
  } finally {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) process.off(signal, stop);
  }
}

function habitsFrom(options: RehearseOptions): PersonHabits {
  const habits = options.person === undefined ? defaultHabits : readHabits(options.person);
  return options.seed === undefined ? habits : { ...habits, seed: wholeSeed(options.seed) };
}

function readHabits(file: string): PersonHabits {
  const read = readYaml(file, readText(file, '--person'));
  const [syntax] = read.kind === 'faults' ? read.faults : [];
  if (read.kind === 'faults') throw syntax ?? new BadInput(`${file}: this cannot be read.`);
  const habits = readBySchema(habitsSchema, read.yaml, read.yaml.value ?? {});
  if (habits.kind === 'value') return habits.value;
  throw habits.faults[0] ?? new BadInput(`${file}: this cannot be read.`);
}

function wholeSeed(text: string): number {
  const seed = numberIn('--seed', text, 0, mostSeed);
  if (!Number.isInteger(seed)) throw new BadInput(`--seed wants a whole number (found ${JSON.stringify(text)}).`);
  return seed;
}

function taskNames(text: string, home: Home): string[] {
  const names = text.split(',').map((name) => name.trim());
  const known = new Set(home.machines.flatMap((m) => m.tasks.map((t) => t.id)));
  for (const name of names) {
    if (!known.has(name)) throw new BadInput(`--tasks: no machine has a task ${JSON.stringify(name)}.`);
  }
  return names;
}

function numberIn(option: string, text: string, least: number, most: number): number {
  const value = /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN;
  if (!(value >= least && value <= most)) {
    throw new BadInput(`${option} wants a number from ${least} to ${most} (found ${JSON.stringify(text)}).`);
  }
  return value;
}

function summary(report: RehearsalReport): string[] {
  const done = report.services.length;
  const late = report.services.filter(
    (s) => s.overHours !== null && s.toleranceHours !== null && s.overHours > s.toleranceHours,
  ).length;
  return [
    `${sayCount(done, 'service')} done, ${done - late} of them within their tolerance of hours`,
    [
      sayCount(report.messages, 'message'),
      sayCount(report.questions, 'question'),
      sayCount(report.wastedTrips, 'wasted trip'),
      sayCount(report.readings, 'reading'),
    ].join(', '),
  ];
}
