import type { Needs, Task } from '../domain/task.js';

/** A job as the order sees it. */
export type Job = Pick<Task, 'id' | 'minutes'> &
  Partial<Pick<Task, 'needs' | 'group'>> & {
    readonly after: readonly string[];
    /** What its steps need one after the other, beyond what the job needs from its start. */
    readonly stages?: readonly Needs[];
    /** Jobs that close what it leaves open: nothing comes between but what they wait for. */
    readonly closedBy?: readonly string[];
  };
