import type { Breach } from '../domain/breach.js';
import { didYouMean } from '../domain/closest-name.js';
import { type Day, startOfDay, type Zone } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import type { Feed, Machine, Meter } from '../domain/machine.js';
import { checkMachineAlone, checkMachineWithPlan, sinceOf } from './check-machine.js';
import { checkWitness, type Witness } from './check-witness.js';
import type { FeedYaml } from './feed-schema.js';
import { emptyFault, type PlanRead, placeBreaches } from './load-plan.js';
import { type MachineYaml, machineSchema } from './machine-schema.js';
import { readTextFile } from './read-file.js';
import { readYaml } from './read-yaml.js';
import { applyOverrides, fitTasks, resolveLast, type Unfitted, unfittedOf } from './resolve-machine.js';
import { readBySchema } from './schema-faults.js';
import { turnForWinter } from './used-in-winter.js';

/** Plans that machines may name, by the name they use. */
export interface PlanShelf {
  /** Null where no plan has this name. */
  find(name: string): PlanRead | null;
  readonly names: readonly string[];
}

export type MachineRead =
  | { kind: 'machine'; machine: Machine; unfitted: Unfitted | null }
  | { kind: 'faults'; faults: Fault[] };

/** Reads, checks and resolves one machine. A plan with faults of its own leaves the names of its tasks unjudged.
 *  @param id    file name without `.yaml`
 *  @param zone  of the household, in which days begin
 *  @param witness  null: days years ahead and readings are not looked at */
export function loadMachine(
  id: string,
  file: string,
  plans: PlanShelf,
  zone: Zone,
  witness: Witness | null,
): MachineRead {
  const read = readTextFile(file);
  if (read.kind === 'fault') return { kind: 'faults', faults: [read.fault] };
  const yamlRead = readYaml(file, read.text);
  if (yamlRead.kind === 'faults') return yamlRead;
  const { yaml: places } = yamlRead;
  const empty = emptyFault(places, 'Write name:, plan: and since: at least, or take the file away.');
  if (empty !== null) return { kind: 'faults', faults: [empty] };
  const parsed = readBySchema(machineSchema, places);
  if (parsed.kind === 'faults') return parsed;
  const yaml = parsed.value;
  const faults = placeBreaches(places, checkMachineAlone(yaml));
  if (witness !== null) faults.push(...placeBreaches(places, checkWitness(id, yaml, witness, zone)));
  const planRead = plans.find(yaml.plan);
  if (planRead === null) faults.push(...placeBreaches(places, [unknownPlan(yaml.plan, plans.names)]));
  const plan = planRead?.kind === 'plan' ? planRead.plan : null;
  const variants = plan === null ? [] : applyOverrides(yaml, plan, places, faults);
  const chosen = Object.entries(yaml.tasks).filter(([, own]) => own.season !== undefined);
  const tasks = fitTasks(yaml, turnForWinter(variants, yaml.expect.season, new Set(chosen.map(([id]) => id))));
  if (plan !== null) faults.push(...placeBreaches(places, checkMachineWithPlan(yaml, plan, variants, tasks)));
  const since = sinceOf(yaml);
  if (faults.length > 0 || plan === null || since === null) return { kind: 'faults', faults };
  return {
    kind: 'machine',
    unfitted: unfittedOf(id, yaml, variants),
    machine: {
      id,
      name: yaml.name,
      planId: yaml.plan,
      has: yaml.has,
      covers: yaml.covers ?? plan.covers,
      places: yaml.places ?? plan.places,
      meter: buildMeter(yaml, since, zone),
      expect: yaml.expect,
      since,
      gone: yaml.gone,
      last: resolveLast(yaml, tasks),
      never: yaml.never,
      tasks,
      ...(yaml.feed === undefined ? {} : { feed: buildFeed(yaml.feed) }),
      ...(yaml.resting === undefined ? {} : { resting: yaml.resting }),
    },
  };
}

function buildMeter({ meter }: MachineYaml, since: Day, zone: Zone): Meter {
  if (meter === 'none') return { kind: 'none' };
  const { first } = meter;
  return {
    kind: 'meter',
    counts: meter.counts,
    changes: meter.replaced.map((change) => ({
      atMs: startOfDay(change.on, zone),
      lastHours: change.last,
      firstHours: change.first,
    })),
    ...(first === undefined
      ? {}
      : { first: { hours: first.hours, atMs: startOfDay(first.on ?? since, zone), about: first.about } }),
  };
}

function buildFeed(yaml: FeedYaml): Feed {
  const { silentAfter, ...rest } = yaml;
  if (rest.kind !== 'voltage') return { ...rest, silentAfterMinutes: silentAfter };
  const { above, below, hold, ...common } = rest;
  return { ...common, silentAfterMinutes: silentAfter, aboveVolts: above, belowVolts: below, holdSeconds: hold };
}

function unknownPlan(name: string, names: readonly string[]): Breach {
  return {
    code: 'plan-unknown',
    message: 'There is no plan of this name',
    found: `"${name}"`,
    remedy: names.includes(`library:${name}`)
      ? `Write library:${name}: plans that come with Shedbell have library: before their name.`
      : didYouMean(name, names) || 'Write library:NAME for a plan of the library.',
    path: ['plan'],
  };
}
