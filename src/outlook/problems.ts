import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { HoursEstimate } from '../hours/estimate.js';

/** What is wrong with the set-up as far as machines and people go, in plain sentences that say what to do.
 *  @param estimates  of each machine; null where nothing is known of its hours
 *  Source: common practice, no source. */
export function findProblems(home: Home, estimates: ReadonlyMap<string, HoursEstimate | null>): string[] {
  const nobody =
    home.household.people.length === 0
      ? ['Nobody is named under “people” in household.yaml, so nobody is told of anything.']
      : [];
  return [
    ...nobody,
    ...home.machines.filter((machine) => !machine.gone).flatMap((machine) => problemsOf(machine, estimates)),
  ];
}

function problemsOf(machine: Machine, estimates: ReadonlyMap<string, HoursEstimate | null>): string[] {
  const problems: string[] = [];
  const wantsHours = machine.tasks.some((task) => hasHoursLimit(task.every) || hasHoursLimit(task.first));
  if (wantsHours && (estimates.get(machine.id) ?? null) === null) {
    problems.push(
      machine.meter.kind === 'meter'
        ? `Nothing is known of the hours of ${machine.name} yet: read its meter and enter what it shows, or write its first hours into its file. Until then only limits in months count.`
        : `Nothing is known of the hours of ${machine.name} yet: tell when it ran and for how long. Until then only limits in months count.`,
    );
  }
  const estimate = estimates.get(machine.id) ?? null;
  const newest = estimate?.contradictions.at(-1);
  // What a later reading agrees with again is past.
  if (machine.feed !== undefined && newest !== undefined && newest.toMs === estimate?.timeline.origin.atMs)
    problems.push(
      `${machine.name}: the sensor saw ${newest.sawHours.toFixed(1)} h while the meter rose ${newest.roseHours.toFixed(1)} h. Is it still connected? Until it sees the engine run again, the hours are estimated.`,
    );
  const brought = new Set(
    machine.tasks.flatMap((task) => [
      ...(task.leadsTo ?? []).map((lead) => lead.task),
      ...(task.countsAs ?? []),
      ...(task.measure.length > 0 && task.ifOut !== undefined ? [task.id] : []),
    ]),
  );
  const without = machine.tasks.filter(
    (task) =>
      task.every === undefined &&
      task.first === undefined &&
      task.season === undefined &&
      task.when === undefined &&
      !brought.has(task.id),
  );
  if (without.length > 0) {
    const names = without.map((task) => `“${task.title}”`).join(', ');
    problems.push(`On ${machine.name} nothing ever brings ${names}: give it “every”, “first”, “season” or “when”.`);
  }
  return problems;
}

function hasHoursLimit(limit: unknown): boolean {
  return typeof limit === 'object' && limit !== null && 'hours' in limit;
}
