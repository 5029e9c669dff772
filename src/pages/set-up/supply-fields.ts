import type { Fluid, FluidChoice, Part, Task } from '../../domain/task.js';
import { capital } from '../../words/sentence.js';
import { type Field, showing, type Values, valueAt } from './fields.js';
import { ownEntry } from './own-entry.js';

const asInPlan = 'Empty: as in the plan.';

/** The parts and fluids of one job: whose number, how much, which kind. Those too that this machine leaves out. */
export function supplyFields(task: Task, values: Values): readonly Field[] {
  const parts: Part[] = [...task.parts];
  for (const name of leftOut(values, ['tasks', task.id, 'parts'], parts)) parts.push({ name, quantity: 0 });
  const fluids: Fluid[] = [...task.fluids];
  for (const name of leftOut(values, ['tasks', task.id, 'fluids'], fluids)) fluids.push({ name, quantity: '' });
  return [
    ...parts.flatMap((part, index) => partFields(task.id, part, index, values)),
    ...fluids.flatMap((fluid, index) => fluidFields(task.id, fluid, index, values)),
  ];
}

/** @param index  its place among the parts of the job */
export function partFields(task: string, part: Part, index: number, values: Values): readonly Field[] {
  const { at, entry, out } = ownEntry(values, ['tasks', task, 'parts'], 'name', part.name, index);
  const place = { section: 'Parts', item: capital(part.name) };
  const about = { ...place, ...entry };
  return [
    {
      name: `number${index}`,
      label: 'Number',
      help: 'From your manual or the old one.',
      kind: 'text',
      path: at('number'),
      ...showing(part.number),
      ...about,
    },
    {
      name: `count${index}`,
      isShort: true,
      label: 'How many',
      help: '0: none.',
      kind: 'number',
      path: at('quantity'),
      shown: String(part.quantity),
      ...about,
    },
    {
      name: `lead${index}`,
      isShort: true,
      label: 'Days to get it',
      kind: 'number',
      path: at('leadDays'),
      ...showing(part.leadDays),
      ...about,
    },
    ...out(`partOut${index}`, place),
  ];
}

/** @param index  its place among the fluids of the job */
export function fluidFields(task: string, fluid: Fluid, index: number, values: Values): readonly Field[] {
  const { at, entry, out } = ownEntry(values, ['tasks', task, 'fluids'], 'name', fluid.name, index);
  const place = { section: 'Fluids', item: capital(fluid.name) };
  const about = { ...place, ...entry };
  const choices = fluid.choices ?? [];
  const whole = at('choices');
  const rows = [...choices, noChoice].flatMap(({ grade, coldest }, row): readonly Field[] => [
    {
      name: `grade${index}-${row}`,
      isShort: true,
      label: choices.length === 0 ? 'Grade' : row < choices.length ? `Grade ${row + 1}` : 'Another grade',
      ...(row === 0 ? { help: 'Such as 10W-30.' } : {}),
      kind: 'text',
      path: at('choices', row, 'grade'),
      whole,
      ...showing(grade),
      ...about,
    },
    {
      name: `coldest${index}-${row}`,
      isShort: true,
      label: 'for nights down to',
      ...(row === 0 ? { help: 'Such as -18 C; empty: for any.' } : {}),
      kind: 'text',
      path: at('choices', row, 'coldest'),
      whole,
      ...showing(coldest),
      ...about,
    },
  ]);
  return [
    {
      name: `quantity${index}`,
      label: 'How much',
      help: 'With its unit, such as 4.2 L or 4 1/2 US qt; 0\u00a0L: none.',
      kind: 'text',
      path: at('quantity'),
      ...showing(fluid.quantity),
      ...about,
    },
    {
      name: `must${index}`,
      label: 'It has to be',
      help: `A demand of your manual; any other fluid gets a warning. ${asInPlan}`,
      kind: 'text',
      path: at('must'),
      ...showing(fluid.must),
      ...about,
    },
    ...rows,
    {
      name: `fill${index}`,
      isShort: true,
      label: 'Fill this share first',
      help: 'Before looking at the level, such as 90 %.',
      kind: 'text',
      path: at('fillFirst'),
      ...showing(fluid.fillFirst),
      ...about,
    },
    {
      name: `fluidLead${index}`,
      isShort: true,
      label: 'Days to get it',
      kind: 'number',
      path: at('leadDays'),
      ...showing(fluid.leadDays),
      ...about,
    },
    ...out(`fluidOut${index}`, place),
  ];
}

const noChoice: FluidChoice = { grade: '' };

/** Names of the file's own entries that the job has not: those that it takes out of its plan. */
function leftOut(
  values: Values,
  list: readonly string[],
  known: readonly { readonly name: string }[],
): readonly string[] {
  const own = valueAt(values ?? undefined, list);
  return (Array.isArray(own) ? own : []).flatMap((entry) => {
    const name = valueAt(entry, ['name']);
    if (typeof name !== 'string') return [];
    return known.some((one) => one.name.toLowerCase() === name.toLowerCase()) ? [] : [name];
  });
}
