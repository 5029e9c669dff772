import { formatInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Due } from '../domain/results/due.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import { sayDue } from '../words/due.js';
import { sayHoursNow } from '../words/hours.js';
import type { At } from './at.js';
import { withService } from './open-home.js';
import { type Output, print } from './output.js';

/** `shedbell status`: hours now and what comes due, one entry a task. */
export function runStatus(at: At, options: { readonly json?: true }, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const outlook = service.latest();
    print(out, options.json === true, statusDocument(outlook, home), statusLines(outlook, home));
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
  for (const problem of outlook.problems) lines.push(`! ${problem}`);
  return lines;
}
