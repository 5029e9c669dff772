import type { Machine } from '../domain/machine.js';
import type { Task } from '../domain/task.js';

/** What a machine is, as far as its own plan tells: what is a danger or a lever on one machine is noise on another. */
export interface MachineTraits {
  /** It stands on wheels that can roll, with a brake or chocks. */
  readonly onWheels: boolean;
  /** A key that can be taken out. */
  readonly hasKey: boolean;
  readonly hasPlugLead: boolean;
  /** Oil that stands in a sump of its own; without it oil comes with the petrol. */
  readonly hasOilSump: boolean;
  readonly hasMeter: boolean;
  /** A saw chain that can kick back and is held by a chain brake. */
  readonly isSaw: boolean;
  /** Whether the plan warns of this anywhere. */
  warnsOf(caution: string): boolean;
}

const wheelCautions = ['tyre-pressure', 'wheel-off', 'under-raised-machine', 'brake-trial', 'roll-over-bar'];

/** Reads a machine's traits off its plan (needs, cautions, parts, fluids) and its meter; what the plan does not hold is not
 *  asked for.
 *  Source: common practice, no source. */
export function traitsOf(machine: Pick<Machine, 'tasks' | 'meter'>): MachineTraits {
  const { tasks } = machine;
  const warned = new Set(tasks.flatMap(refsOf));
  const onWheels =
    tasks.some(({ needs }) => needs?.raised === 'front' || needs?.raised === 'rear') ||
    wheelCautions.some((caution) => warned.has(caution));
  return {
    onWheels,
    hasKey: onWheels || tasks.some(({ needs }) => needs?.battery !== undefined),
    hasPlugLead:
      warned.has('blade-plug-lead') || tasks.some(({ parts }) => parts.some(({ name }) => /spark plug/i.test(name))),
    hasOilSump: tasks.some(
      ({ fluids, measure }) =>
        fluids.some(({ name }) => /engine oil/i.test(name)) ||
        measure.some(({ name, specification }) => specification.kind === 'level' && /oil/i.test(name)),
    ),
    hasMeter: machine.meter.kind === 'meter',
    isSaw: warned.has('kickback'),
    warnsOf: (caution) => warned.has(caution),
  };
}

/** Ids of the library's cautions that a task names, with those of its steps.
 *  Source: definition. */
export function refsOf({ cautions, steps }: Task): string[] {
  return [...cautions, ...steps.map(({ caution }) => caution)].filter((ref) => typeof ref === 'string');
}
