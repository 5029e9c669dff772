import { formatInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Due } from '../domain/results/due.js';
import type { Outlook } from '../domain/results/outlook.js';
import { sayDue } from '../words/due.js';
import { sayHoursNow } from '../words/hours.js';
import type { At } from './at.js';
import { withService } from './open-home.js';
import { type Output, print } from './output.js';

/** `shedbell status`: hours now and what comes due, one entry a task. */
export function runStatus(at: At, options: { readonly json?: true }, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const outlook = service.latest();
    print(out, options.json === true, statusDocument(outlook), statusLines(outlook, home));
    return 0;
  });
}

function statusDocument(outlook: Outlook) {
  return {
    machines: outlook.machines.map((m) => ({
      machine: m.machine,
      hoursNow: m.hoursNow,
      lastReading:
        m.lastReading === null ? null : { at: formatInstant(m.lastReading.atMs), hours: m.lastReading.hours },
      feed:
        m.feed === null
          ? null
          : {
              runSeconds: m.feed.runSeconds,
              lastAt: m.feed.lastAtMs === null ? null : formatInstant(m.feed.lastAtMs),
            },
      tasks: m.dues.map((due: Due) => ({ task: due.task, limit: due.limit, due: due.day })),
    })),
    problems: outlook.problems,
  };
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
