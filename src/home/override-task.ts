import { under } from '../domain/breach.js';
import { didYouMean } from '../domain/closest-name.js';
import { Fault } from '../domain/fault.js';
import { parseQuantity } from '../domain/quantity.js';
import { checkMeasurement } from '../domain/specification-rules.js';
import type { Fluid, IfOut, Interval, Measurement, Needs, Part, Task } from '../domain/task.js';
import { buildLeadsTo } from './build-task.js';
import { placeBreaches } from './load-plan.js';
import type { TaskOverride } from './machine-schema.js';
import { type MeasureOverride, measureSchema } from './measure-schema.js';
import type { KeyPath, YamlFile } from './read-yaml.js';
import { readBySchema } from './schema-faults.js';

/** The plan's task with the owner's variant. Interval, first time, needs, tolerance and extra work keep what the variant
 *  does not name; parts and fluids are matched by name, measurements by id; every other key replaces the plan's.
 *  Faults are added with their places under `tasks: ID:` of the machine's file. */
export function overrideTask(task: Task, override: TaskOverride, file: YamlFile, faults: Fault[]): Task {
  const { every, first, needs, tolerance, ifOut, parts, fluids, measure, leadsTo, ...plain } = override;
  const base: KeyPath = ['tasks', task.id];
  const context = { file, faults, base };
  const { every: planEvery, first: planFirst, ...rest } = task;
  const newEvery = every === undefined || every === 'use' ? (every ?? planEvery) : mergeInterval(planEvery, every);
  const newFirst = first === undefined ? planFirst : mergeInterval(planFirst, first);
  const extra = ifOut === undefined ? task.ifOut : mergeIfOut(task.ifOut, ifOut, context);
  return {
    ...rest,
    ...plain,
    ...(newEvery === undefined ? {} : { every: newEvery }),
    ...(newFirst === undefined ? {} : { first: newFirst }),
    ...(needs === undefined ? {} : { needs: mergeNeeds(task.needs, needs) }),
    ...(tolerance === undefined ? {} : { tolerance: { ...task.tolerance, ...tolerance } }),
    ...(leadsTo === undefined ? {} : { leadsTo: buildLeadsTo(leadsTo) }),
    ...(extra === undefined ? {} : { ifOut: extra }),
    parts: mergeParts(task.parts, parts ?? []),
    fluids: mergeFluids(task.fluids, fluids ?? [], context),
    measure: mergeMeasurements(task.measure, measure ?? [], context),
  };
}

interface Context {
  readonly file: YamlFile;
  readonly faults: Fault[];
  readonly base: KeyPath;
}

type Limit = { readonly hours?: number; readonly months?: number };

function mergeInterval(
  plan: Interval | undefined,
  own: { readonly hours?: number | 'none'; readonly months?: number | 'none' },
): Limit | undefined {
  const before: Limit = typeof plan === 'object' ? plan : {};
  const hours = own.hours ?? before.hours ?? 'none';
  const months = own.months ?? before.months ?? 'none';
  if (hours === 'none' && months === 'none') return undefined;
  return { ...(hours === 'none' ? {} : { hours }), ...(months === 'none' ? {} : { months }) };
}

function mergeNeeds(plan: Needs | undefined, own: Needs): Needs {
  const fitted = own.fitted === undefined ? {} : { fitted: { ...plan?.fitted, ...own.fitted } };
  return { ...plan, ...own, ...fitted };
}

function mergeIfOut(
  plan: IfOut | undefined,
  own: NonNullable<TaskOverride['ifOut']>,
  context: Context,
): IfOut | undefined {
  const steps = own.steps ?? plan?.steps;
  const minutes = own.minutes ?? plan?.minutes;
  if (steps !== undefined && minutes !== undefined) return { ...plan, ...own, steps, minutes };
  missing(
    context,
    ['ifOut'],
    steps === undefined ? 'steps' : 'minutes',
    'The plan has no extra work here, so it is wanted in full.',
  );
  return plan;
}

function mergeParts(plan: readonly Part[], own: NonNullable<TaskOverride['parts']>): Part[] {
  const merged = plan.map((part) => ({
    ...part,
    ...own.find(({ name }) => isSameName(name, part.name)),
    name: part.name,
  }));
  const added = own
    .filter(({ name }) => !plan.some((part) => isSameName(name, part.name)))
    .map((part) => ({ quantity: 1, ...part }));
  return [...merged, ...added].filter(({ quantity }) => quantity > 0);
}

function mergeFluids(plan: readonly Fluid[], own: NonNullable<TaskOverride['fluids']>, context: Context): Fluid[] {
  const merged: Fluid[] = plan.map((fluid) => ({
    ...fluid,
    ...own.find(({ name }) => isSameName(name, fluid.name)),
    name: fluid.name,
  }));
  own.forEach((fluid, index) => {
    if (plan.some(({ name }) => isSameName(name, fluid.name))) return;
    const { quantity } = fluid;
    if (quantity !== undefined) merged.push({ ...fluid, quantity });
    else {
      const known = didYouMean(
        fluid.name,
        plan.map(({ name }) => name),
      );
      missing(context, ['fluids', index], 'quantity', `The plan has no fluid of this name here. ${known}`.trim());
    }
  });
  return merged.filter(({ quantity }) => parseQuantity(quantity).value > 0);
}

function mergeMeasurements(
  plan: readonly Measurement[],
  own: readonly MeasureOverride[],
  context: Context,
): Measurement[] {
  const merged = [...plan];
  own.forEach((change, index) => {
    const path: KeyPath = [...context.base, 'measure', index];
    const at = plan.findIndex(({ id }) => id === change.id);
    const before = plan[at];
    if (before === undefined && change.kind === undefined) {
      context.faults.push(
        new Fault({
          code: 'measurement-unknown',
          message: 'The plan has no measurement with this id in this task',
          place: context.file.place([...path, 'id']),
          found: `"${change.id}"`,
          remedy: `${didYouMean(
            change.id,
            plan.map(({ id }) => id),
          )} A new one needs kind: and its values.`.trim(),
          retry: 'after-fix',
        }),
      );
      return;
    }
    const read = readBySchema(measureSchema, context.file, { ...flatten(before, change), ...change }, path);
    if (read.kind === 'faults') {
      context.faults.push(...read.faults);
      return;
    }
    context.faults.push(...placeBreaches(context.file, under(path, checkMeasurement(read.value))));
    if (before === undefined) merged.push(read.value);
    else merged[at] = read.value;
  });
  return merged;
}

/** The plan's measurement as it stands in a file; of another kind, only what all kinds share. A limit of the owner's own no longer
 *  follows the cold. */
function flatten(
  measurement: Measurement | undefined,
  { kind, max }: Pick<MeasureOverride, 'kind' | 'max'>,
): Record<string, unknown> {
  if (measurement === undefined) return {};
  const { specification, ...shared } = measurement;
  if (kind === undefined || kind === specification.kind) {
    const follows = specification.kind === 'atMost' || specification.kind === 'range';
    if (!follows || max === undefined) return { ...shared, ...specification };
    const { belowColdest: _followed, ...fixed } = specification;
    return { ...shared, ...fixed };
  }
  const { aim: _aim, resolution: _resolution, ...kept } = shared;
  return kept;
}

function missing({ file, faults, base }: Context, path: KeyPath, key: string, remedy: string): void {
  faults.push(
    new Fault({
      code: 'key-missing',
      message: `The key ${key}: is missing`,
      place: file.place([...base, ...path]),
      remedy,
      retry: 'after-fix',
    }),
  );
}

function isSameName(a: string, b: string): boolean {
  return a.toLowerCase() === b.toLowerCase();
}
