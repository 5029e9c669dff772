import { formatInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Due } from '../domain/results/due.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import { sayDue } from '../words/due.js';
import { sayHoursNow } from '../words/hours.js';
import { sayMachineBriefly } from '../words/machine-status.js';
import type { At } from './at.js';
import { machineNamed, withService } from './open-home.js';
import { type Output, print } from './output.js';

/** As typed. */
export interface StatusOptions {
  readonly json?: true;
  readonly all?: true;
}

/** `shedbell status`: each machine at a glance; every task of one machine, or with `--all` of all of them.
 *  As JSON one entry a task always. */
export function runStatus(at: At, named: string | undefined, options: StatusOptions, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const only = named === undefined ? null : machineNamed(home, named).id;
    const full = service.latest();
    const outlook = { ...full, machines: full.machines.filter(({ machine }) => only === null || machine === only) };
    const lines = options.all === true || only !== null ? statusLines(outlook, home) : briefLines(outlook, home);
    print(out, options.json === true, statusDocument(outlook, home), lines);
    return 0;
  });
}

function statusDocument(outlook: Outlook, home: Home) {
  return {
    machines: outlook.machines.map((m) => ({
      machine: m.machine,
      hoursNow: m.hoursNow,
      lastReading:
        m.lastReading === null ? null : { at: formatInstant(m.lastReading.atMs), hours: m.lastReading.hours },
      feed: feedOf(m, home),
      tasks: m.dues.map((due: Due) => ({ task: due.task, limit: due.limit, due: due.day })),
    })),
    problems: outlook.problems,
  };
}

/** The exact count of the feed; one that is set up but was not heard yet has counted nothing. */
function feedOf({ machine, feed }: MachineOutlook, home: Home) {
  if (feed !== null) {
    return { runSeconds: feed.runSeconds, lastAt: feed.lastAtMs === null ? null : formatInstant(feed.lastAtMs) };
  }
  const isSetUp = home.machines.some((each) => each.id === machine && each.feed !== undefined);
  return isSetUp ? { runSeconds: 0, lastAt: null } : null;
}

function briefLines(outlook: Outlook, home: Home): string[] {
  const { today, visits } = outlook;
  const lines = outlook.machines.flatMap((status) => {
    const machine = home.machines.find(({ id }) => id === status.machine);
    return machine === undefined ? [] : sayMachineBriefly(status, machine, visits, today, home.household.locale);
  });
  lines.push(...doubtLines(outlook));
  const first = outlook.machines[0]?.machine;
  if (first !== undefined) lines.push(`Every task: shedbell status ${first}, or shedbell status --all`);
  return lines;
}

function statusLines(outlook: Outlook, home: Home): string[] {
  const lines: string[] = [];
  for (const m of outlook.machines) {
    const machine = home.machines.find((each) => each.id === m.machine);
    if (machine === undefined) continue;
    lines.push(`${machine.name}: ${m.hoursNow === null ? 'hours not known yet' : sayHoursNow(m.hoursNow)}`);
    for (const due of m.dues) {
      if (due.day !== null) lines.push(`  ${sayDue(due, machine, outlook.today, home.household.locale)}`);
    }
  }
  lines.push(...doubtLines(outlook));
  return lines;
}

/** What is wrong, then where the readings contradict what a machine's file expects. */
function doubtLines({ problems, machines }: Outlook): string[] {
  return [
    ...problems.map((problem) => `! ${problem}`),
    ...machines.flatMap(({ doubt }) => (doubt === null ? [] : [`? ${doubt}`])),
  ];
}
