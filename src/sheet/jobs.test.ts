import { expect, test } from 'vitest';
import type { Task } from '../domain/task.js';
import { jobsOf, needsOf } from './jobs.js';
import { orderTasks } from './working-order.js';

function taskOf(id: string, rest: Partial<Task> = {}): Task {
  return {
    id,
    title: id,
    minutes: 5,
    by: 'owner',
    steps: [],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'common practice, no source',
    ...rest,
  };
}

const orderOf = (tasks: readonly Task[]) => orderTasks(jobsOf(tasks)).order;

test('the machine as it stands comes before all other work, wherever the plan lists it', () => {
  expect(orderOf([taskOf('oil'), taskOf('rest', { group: 'as it stands' })])).toEqual(['rest', 'oil']);
});

test('the baseline gives way where the plan itself puts a task before it', () => {
  const tasks = [taskOf('wash'), taskOf('rest', { group: 'as it stands', after: ['wash'] }), taskOf('oil')];
  expect(orderOf(tasks)).toEqual(['wash', 'rest', 'oil']);
});

test('two tasks that bring each other at the end do not wait for each other', () => {
  const tasks = [
    taskOf('a', { leadsTo: [{ task: 'b', at: 'end' }] }),
    taskOf('b', { leadsTo: [{ task: 'a', at: 'end' }] }),
    taskOf('c'),
  ];
  expect(orderOf(tasks)).toHaveLength(3);
});

test('a task that names no end is done on its wheels; any says that it does not matter', () => {
  expect(needsOf(taskOf('a')).raised).toBe('none');
  expect(needsOf(taskOf('a', { needs: { engine: 'running' } })).raised).toBe('none');
  expect(needsOf(taskOf('a', { needs: { raised: 'any' } })).raised).toBe('any');
});

test('what a job counts as comes after it, so that nobody adjusts what is about to be replaced', () => {
  expect(orderOf([taskOf('strength'), taskOf('coolant', { countsAs: ['strength'] })])).toEqual(['coolant', 'strength']);
});

test('the way back from storage comes before anything that starts the engine, laying up after all else', () => {
  const tasks = [
    taskOf('listen', { needs: { engine: 'running' } }),
    taskOf('press', { steps: [{ do: 'Press', needs: { engine: 'running' } }] }),
    taskOf('in', { group: 'storage', leadsTo: [{ task: 'out', at: 'return' }] }),
    taskOf('out', { group: 'storage' }),
    taskOf('grease'),
  ];
  const order = orderOf(tasks);
  expect(order.indexOf('out')).toBeLessThan(Math.min(order.indexOf('listen'), order.indexOf('press')));
  expect(order.at(-1)).toBe('in');
});

test('a job is not begun before all that its closing waits for is done', () => {
  const tasks = [
    taskOf('wheels', { leadsTo: [{ task: 'bolts', at: 'once' }] }),
    taskOf('bolts', { after: ['paint'] }),
    taskOf('paint'),
  ];
  expect(orderOf(tasks)).toEqual(['paint', 'wheels', 'bolts']);
});
