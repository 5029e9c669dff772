import type { Task } from '../domain/task.js';
import { bringsBack, broughtBy, needsOf, stagesOf } from './jobs.js';
import { asItStands, type MachineState, reachAll } from './state.js';

/** How the machine stands when the visit begins: as always, or with its battery out where the visit brings it back from a
 *  rest and laying it up took the battery out.
 *  @param tasks    of the visit
 *  @param machine  all tasks of the machine
 *  Source: common practice, no source. */
export function asFound(tasks: readonly Task[], machine: readonly Task[]): MachineState {
  const back = tasks.filter((task) => bringsBack(task, machine)).map(({ id }) => id);
  const laidUpBy = machine.filter((task) => broughtBy(task, 'return').some((id) => back.includes(id)));
  const isOut = laidUpBy.some(
    (task) => reachAll(asItStands, [needsOf(task), ...stagesOf(task)]).state.battery === 'disconnected',
  );
  return isOut ? { ...asItStands, battery: 'disconnected' } : asItStands;
}
