import type { Task } from '../domain/task.js';
import { refsOf } from './machine-traits.js';

/** Whether a task opens something that can leak afterwards, or takes wheels or fittings off.
 *  Source: common practice, no source. */
export function opensSomething(task: Task): boolean {
  const fittings = Object.values(task.needs?.fitted ?? {});
  const isRaised = task.needs?.raised === 'front' || task.needs?.raised === 'rear';
  return isFilled(task) || task.parts.length > 0 || isRaised || fittings.includes('off') || opensFuel(task);
}

/** Cautions of work on what holds oil, fuel or coolant. */
const wetWork = [
  'fuel-fire',
  'diesel-fuel',
  'hot-oil',
  'used-oil',
  'coolant-poison',
  'hydraulic-pressure',
  'injection',
];

/** Whether a task opens or fills what holds oil, fuel or coolant.
 *  Source: common practice, no source. */
export function canLeak(task: Task): boolean {
  return isFilled(task) || refsOf(task).some((caution) => wetWork.includes(caution));
}

/** Whether a task opens the way of the fuel or fills fuel: it warns of fuel, and is about fuel by its own words.
 *  Source: common practice, no source. */
export function opensFuel(task: Task): boolean {
  if (!refsOf(task).some((caution) => caution === 'fuel-fire' || caution === 'diesel-fuel')) return false;
  const words = [
    task.title,
    ...[...task.parts, ...task.fluids].map(({ name }) => name),
    ...task.steps.map((step) => step.do),
  ];
  return words.some((text) => /\b(fuel|petrol|diesel)\b/i.test(text));
}

/** Liquids, not grease by weight. */
function isFilled(task: Task): boolean {
  return task.fluids.some(({ quantity }) => !/\d\s*(k?g|lb|oz)$/i.test(quantity));
}
