import { parseQuantity } from '../domain/quantity.js';
import type { Task } from '../domain/task.js';

/** Tools to lay out for these tasks: those of tasks and steps, and those that only a bad finding brings, said so.
 *  A torque to set asks for a torque wrench.
 *  @returns  each once whatever its capitals, in the order of first use
 *  Source: common practice, no source. */
export function collectTools(tasks: readonly Task[]): string[] {
  const surely = tasks.flatMap((task) => [
    ...(task.tools ?? []),
    ...task.steps.flatMap(({ tool }) => (tool === undefined ? [] : [tool])),
    ...(task.measure.some(({ specification }) => specification.kind === 'setTo' && isTorque(specification.value))
      ? ['torque wrench']
      : []),
  ]);
  const perhaps = tasks.flatMap(({ ifOut }) => ifOut?.tools ?? []);
  const seen = new Set<string>();
  const unseen = (tool: string): boolean => {
    const plain = tool.toLowerCase();
    return !seen.has(plain) && Boolean(seen.add(plain));
  };
  return [...surely.filter(unseen), ...perhaps.filter(unseen).map((tool) => `${tool} (only if something is out)`)];
}

function isTorque(value: string): boolean {
  return parseQuantity(value).dimension === 'torque';
}
