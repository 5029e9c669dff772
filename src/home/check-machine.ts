import { type Breach, under } from '../domain/breach.js';
import { didYouMean } from '../domain/closest-name.js';
import type { Task } from '../domain/task.js';
import { checkTask, circlesOfAfter, hasLimit, unknownTask } from '../domain/task-rules.js';
import type { FeedYaml } from './feed-schema.js';
import type { CheckedPlan } from './load-plan.js';
import type { MachineYaml } from './machine-schema.js';
import { isYearsLong, mostYears } from './span-length.js';

/** What no single key of a machine can know by itself: spans, the order of meter changes, thresholds, words of a feed. */
export function checkMachineAlone(yaml: MachineYaml): Breach[] {
  const breaches: Breach[] = [];
  const { resting, meter, feed } = yaml;
  if (resting?.until !== undefined && resting.until < resting.from) {
    breaches.push({
      code: 'span-upside-down',
      message: `This span ends before it begins (${resting.from})`,
      found: resting.until,
      remedy: 'Exchange from and until.',
      path: ['resting', 'until'],
    });
  }
  if (resting?.until !== undefined && isYearsLong(resting.from, resting.until)) {
    breaches.push({
      code: 'span-too-long',
      message: `It would rest for more than ${mostYears} years (from ${resting.from})`,
      found: resting.until,
      remedy: 'Correct the year, or leave until: out: then it rests until you take resting: out.',
      path: ['resting', 'until'],
    });
  }
  if (sinceOf(yaml) === null) {
    breaches.push({
      code: 'key-missing',
      message: 'The key since: is missing',
      remedy: 'Write the day from which this service answers for the machine, such as since: 2027-04-09.',
      path: [],
    });
  }
  if (meter !== 'none') breaches.push(...under(['meter'], checkMeter(meter)));
  if (feed !== undefined) breaches.push(...under(['feed'], checkFeed(feed)));
  return [...breaches, ...checkLastHours(yaml), ...checkHoursWithoutMeter(yaml)];
}

/** The day from which the service answers: as written, else that of the first meter value, else of the newest service.
 *  Never the day on which the file happens to be read: no interval would ever run out. */
export function sinceOf({ since, meter, last }: MachineYaml) {
  if (since !== undefined) return since;
  if (meter !== 'none' && meter.first?.on !== undefined) return meter.first.on;
  const days =
    typeof last === 'string' ? [] : Object.values(last).flatMap((v) => (typeof v === 'string' ? [] : (v.day ?? [])));
  return days.sort().at(-1) ?? null;
}

/** Whether the machine and its plan fit: names of tasks and fittings, the owner's variants, needs that can be met.
 *  @param variants  the plan's tasks with the owner's variants
 *  @param tasks     those of them that this machine has */
export function checkMachineWithPlan(
  yaml: MachineYaml,
  plan: CheckedPlan,
  variants: readonly Task[],
  tasks: readonly Task[],
): Breach[] {
  const ids = plan.tasks.map(({ id }) => id);
  const named = (map: Record<string, unknown>, key: string) =>
    Object.keys(map).flatMap((id) => (ids.includes(id) ? [] : [{ ...unknownTask(id, ids, [key, id]), isKey: true }]));
  const fittings = yaml.has.flatMap((fitting, index) =>
    plan.fittings.includes(fitting)
      ? []
      : [
          {
            code: 'fitting-unknown',
            message: 'The plan knows no fitting of this name',
            found: `"${fitting}"`,
            remedy: didYouMean(fitting, plan.fittings) || 'The plan names no fittings, so take it out.',
            path: ['has', index],
          },
        ],
  );
  return [
    ...fittings,
    ...named(typeof yaml.last === 'string' ? {} : yaml.last, 'last'),
    ...named(yaml.never, 'never'),
    ...named(yaml.tasks, 'tasks'),
    ...variants.flatMap((task) => checkVariant(task, yaml, plan, ids)),
    ...checkCircles(variants),
    ...tasks.flatMap((task) => checkNeedsMet(task, yaml, plan)),
  ];
}

/** A task that the owner changed, by the rules that every task of a plan must keep. */
function checkVariant(task: Task, yaml: MachineYaml, plan: CheckedPlan, ids: readonly string[]): Breach[] {
  if (!Object.hasOwn(yaml.tasks, task.id)) return [];
  // Measurements were looked at when they were merged; whether needs can be met is looked at for all tasks.
  const { needs: _needs, ...rest } = task;
  const lists = { covers: yaml.covers ?? plan.covers, fittings: plan.fittings };
  const breaches = under(['tasks', task.id], checkTask({ ...rest, measure: [] }, ids, lists));
  const before = plan.tasks.find(({ id }) => id === task.id);
  if (before !== undefined && hasLimit(before) && !hasLimit(task)) {
    breaches.push({
      code: 'task-never-comes',
      message: 'With this, nothing ever brings the task',
      remedy: 'Leave one limit, or retire the task with its reason under never:.',
      path: ['tasks', task.id],
      isKey: true,
    });
  }
  return breaches;
}

function checkCircles(variants: readonly Task[]): Breach[] {
  return circlesOfAfter(variants).map((circle) => ({
    code: 'after-in-a-circle',
    message: `With this, tasks wait for each other: ${[...circle, circle[0]].join(' after ')}`,
    remedy: 'Take one of these after entries out.',
    path: ['tasks', circle[0] ?? '', 'after'],
  }));
}

function checkNeedsMet(task: Task, yaml: MachineYaml, plan: CheckedPlan): Breach[] {
  const override = Object.hasOwn(yaml.tasks, task.id) ? yaml.tasks[task.id] : undefined;
  const covers = yaml.covers ?? plan.covers;
  const lacking = [...(task.needs?.covers ?? []).entries()].filter(([, cover]) => !covers.includes(cover));
  const missing: Breach[] = lacking.map(([index, cover]) => ({
    code: 'machine-lacks',
    message: `The task "${task.id}" needs a cover that this machine does not list`,
    found: `"${cover}"`,
    remedy: `${didYouMean(cover, covers)} Add it to covers:, or set needs: of the task under tasks:.`.trim(),
    path: override?.needs?.covers === undefined ? ['covers'] : ['tasks', task.id, 'needs', 'covers', index],
  }));
  for (const [fitting, state] of Object.entries(task.needs?.fitted ?? {})) {
    if (state !== 'on' || yaml.has.includes(fitting)) continue;
    const isOwn = override?.needs?.fitted !== undefined && Object.hasOwn(override.needs.fitted, fitting);
    missing.push({
      code: 'machine-lacks',
      message: `The task "${task.id}" needs a fitting that this machine does not have`,
      found: `"${fitting}"`,
      remedy: plan.fittings.includes(fitting)
        ? 'Add it to has:, or retire the task under never:.'
        : didYouMean(fitting, plan.fittings),
      path: isOwn ? ['tasks', task.id, 'needs', 'fitted', fitting] : ['has'],
      isKey: isOwn,
    });
  }
  return missing;
}

function checkMeter(meter: Exclude<MachineYaml['meter'], 'none'>): Breach[] {
  const breaches: Breach[] = [];
  let day = meter.first?.on ?? null;
  let hours = meter.first?.hours ?? 0;
  meter.replaced.forEach((change, index) => {
    if (day !== null && change.on < day) {
      breaches.push({
        code: 'span-upside-down',
        message: `This change of the meter lies before what is written above it (${day})`,
        found: change.on,
        remedy: 'Write the changes in the order in which they happened.',
        path: ['replaced', index, 'on'],
      });
    }
    if (change.last < hours) {
      breaches.push({
        code: 'hours-before-first',
        message: `The old meter cannot have stopped below where it began (${hours} h)`,
        found: `${change.last} h`,
        remedy: 'Write what the old meter showed last.',
        path: ['replaced', index, 'last'],
      });
    }
    day = change.on;
    hours = change.first;
  });
  return breaches;
}

function checkFeed(feed: FeedYaml): Breach[] {
  if (feed.kind === 'voltage' && feed.below >= feed.above) {
    return [
      {
        code: 'thresholds-upside-down',
        message: `It would count as running and as stopped at once: below must be lower than above (${feed.above} V)`,
        found: `${feed.below} V`,
        remedy: 'Write such as above: 13.2 V and below: 12.9 V.',
        path: ['below'],
      },
    ];
  }
  if (feed.kind !== 'running') return [];
  const both = feed.no.findIndex((word) => feed.yes.includes(word));
  if (both < 0) return [];
  return [
    {
      code: 'words-both',
      message: 'This word means running and not running',
      found: `"${feed.no[both]}"`,
      remedy: 'Keep it in yes or in no.',
      path: ['no', both],
    },
  ];
}

/** Without a meter hours are counted from 0 on the day from which the service answers: a service at more hours before then would
 *  put the next one far too late. */
function checkHoursWithoutMeter(yaml: MachineYaml): Breach[] {
  const { meter, last } = yaml;
  const since = sinceOf(yaml);
  if (meter !== 'none' || typeof last === 'string' || since === null) return [];
  return Object.entries(last).flatMap(([task, done]) =>
    typeof done === 'string' || done.hours === undefined || done.hours === 0 || (done.day ?? since) > since
      ? []
      : [
          {
            code: 'hours-before-first',
            message: `Without an hour meter its hours are counted from 0 on ${since}, so a service before then was at none of them`,
            found: `${done.hours} h`,
            remedy: 'Write the day alone, such as { day: 2027-04-09 }.',
            path: ['last', task, 'hours'],
          },
        ],
  );
}

/** A service before the first value of the meter cannot have been at more hours than that. */
function checkLastHours({ meter, last }: MachineYaml): Breach[] {
  const first = meter === 'none' || meter.replaced.length > 0 ? undefined : meter.first;
  if (first?.on === undefined || first.about || typeof last === 'string') return [];
  const { on, hours: limit } = first;
  return Object.entries(last).flatMap(([task, done]) =>
    typeof done === 'string' ||
    done.day === undefined ||
    done.hours === undefined ||
    done.day > on ||
    done.hours <= limit
      ? []
      : [
          {
            code: 'hours-before-first',
            message: `On ${on} the meter showed ${limit} h, so this cannot have been at more hours before`,
            found: `${done.hours} h`,
            remedy: 'Correct the hours or the day.',
            path: ['last', task, 'hours'],
          },
        ],
  );
}
