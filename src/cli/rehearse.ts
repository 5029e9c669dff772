import { parse } from 'yaml';
import { z } from 'zod';
import { parseDay, weekdays } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import { defaultHabits, type PersonHabits } from '../rehearsal/person.js';
import { rehearse } from '../rehearsal/rehearse.js';
import type { RehearsalReport } from '../rehearsal/report.js';
import { type At, print, readHome } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';
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

const share = z.number().min(0).max(1);
const habitsSchema = z.strictObject({
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
  seed: z.int().min(0).default(defaultHabits.seed),
});

/** `shedbell rehearse`: the whole service, fast, against a scripted usage; prints what came of it. */
export async function runRehearse(at: At, options: RehearseOptions, out: Output): Promise<number> {
  const { home } = readHome(at);
  if (options.policy !== 'ours') {
    throw new BadInput(`--policy knows only ours (found ${JSON.stringify(options.policy)}).`);
  }
  const from = parseDay(options.from);
  const to = parseDay(options.to);
  if (to < from) throw new BadInput(`--to ${to} lies before --from ${from}.`);
  const report = await rehearse({
    home,
    usage: usageByMachine(options.usage, home),
    from,
    to,
    habits: habitsFrom(options),
    feedShare: options.feed === undefined ? null : numberIn('--feed', options.feed, 0, 1),
    tasks: options.tasks === undefined ? null : taskNames(options.tasks, home),
  });
  print(out, options.json === true, report, summary(report));
  return exitStatus.fine;
}

function habitsFrom(options: RehearseOptions): PersonHabits {
  const text = options.person === undefined ? '' : readText(options.person, '--person');
  const parsed = habitsSchema.safeParse(parsePersonYaml(text, options.person ?? '') ?? {});
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    throw new BadInput(
      `${options.person}:1:1: ${issue?.path.join('.') || 'the file'}: ${issue?.message ?? 'is not right'}`,
    );
  }
  const seed = options.seed === undefined ? parsed.data.seed : numberIn('--seed', options.seed, 0, 4_294_967_295);
  return { ...parsed.data, seed };
}

function parsePersonYaml(text: string, file: string): unknown {
  try {
    return parse(text, { maxAliasCount: 10 });
  } catch (cause) {
    throw new BadInput(`${file}:1:1: this is not YAML (${cause instanceof Error ? cause.message.split('\n')[0] : ''})`);
  }
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
    `${done} services done, ${done - late} of them within their tolerance of hours`,
    `${report.messages} messages, ${report.questions} questions, ${report.wastedTrips} wasted trips, ${report.readings} readings`,
  ];
}
