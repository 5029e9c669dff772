import { withMending } from '../domain/mending.js';
import type { Visit } from '../domain/results/visit.js';
import { minutesOfVisit } from '../domain/visit-minutes.js';
import type { Given } from './given.js';
import type { Form } from './guard/form.js';
import { type Shown, showMachine } from './shown.js';

/** The visit of a sheet that comes back: as it is planned now, with all that it held when it was shown. Hours at the bench may
 *  have regrouped it or taken it out of the plan, and what was done is done all the same.
 *  @returns null where neither the plan nor the form tells what it held
 *  @throws Fault machine-unknown */
export function heldVisit(
  given: Given,
  id: string,
  form: Form,
): { readonly shown: Shown; readonly visit: Visit } | null {
  const planned = given.latest().visits.find((visit) => visit.id === id);
  const machineId = planned?.machine ?? form.text('machine');
  if (planned === undefined && !(id.startsWith(`${machineId}-`) && /^[a-z0-9-]{3,200}$/.test(id))) return null;
  const shown = showMachine(given, machineId);
  const held = form.all('held').filter((id) => shown.machine.tasks.some((task) => task.id === id));
  const tasks = [...new Set([...(planned?.tasks ?? []), ...held])];
  if (tasks.length === 0) return null;
  if (planned === undefined) return { shown, visit: unplanned(id, shown, tasks) };
  const minutes = minutesOfVisit(tasks, asItStands(shown), planned.by, shown.household.setUpMinutes, shown.facts);
  return { shown, visit: { ...planned, tasks, minutes } };
}

/** With what bad findings brought. */
function asItStands({ machine, facts }: Pick<Shown, 'machine' | 'facts'>): Shown['machine']['tasks'] {
  return withMending(machine, facts).tasks;
}

function unplanned(id: string, { machine, facts, outlook, household }: Shown, tasks: readonly string[]): Visit {
  const { today } = outlook;
  const by = machine.tasks.some((task) => tasks.includes(task.id) && task.by === 'owner') ? 'owner' : 'dealer';
  return {
    id,
    machine: machine.id,
    tasks,
    leadTask: tasks[0] ?? '',
    pulledForward: [],
    early: [],
    day: today,
    due: { p10: today, p50: today, p90: today },
    minutes: minutesOfVisit(tasks, asItStands({ machine, facts }), by, household.setUpMinutes, facts),
    shopping: [],
    buyBy: null,
    revision: 0,
    announced: false,
    kind: 'service',
    askOn: null,
    by,
    cause: { kind: 'on-time' },
    pLate: 0,
  };
}
