import type { Home } from '../../src/domain/home.js';
import type { Task } from '../../src/domain/task.js';
import { someTask } from './small-machine.js';

/** A job of the mower of the example home, for tests of its pages. */
export function mowerJob(id: string, title: string, more: Partial<Task> = {}): Task {
  return someTask(id, {
    title,
    every: { months: 6 },
    minutes: 10,
    steps: [{ do: `Do the ${id}` }],
    source: 'common practice, no source',
    ...more,
  });
}

/** The example home with its mower alone, and of that these jobs alone, all long due. */
export function mowerWith(tasks: readonly Task[]): (home: Home) => Home {
  return (home) => ({
    ...home,
    machines: home.machines
      .filter(({ id }) => id === 'paddock-mower')
      .map((machine) => ({ ...machine, tasks, last: {}, never: {} })),
  });
}
