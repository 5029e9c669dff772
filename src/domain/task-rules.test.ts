import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Task } from './task.js';
import { checkTasks, circlesOfAfter } from './task-rules.js';

const lists = { covers: ['hood'], fittings: ['loader'] };

function task(id: string, more: Partial<Task> = {}): Task {
  return {
    id,
    title: id,
    every: 'use',
    minutes: 5,
    by: 'owner',
    steps: [],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'common practice, check your manual',
    ...more,
  };
}

const codes = (tasks: readonly Task[]) => checkTasks(tasks, lists).map(({ code, path }) => [code, path.join('.')]);

describe('the tasks of a plan', () => {
  it('are fine when they name only what is there', () => {
    expect(
      codes([
        task('a', { needs: { covers: ['hood'], fitted: { loader: 'off' } }, has: ['loader'], cautions: ['hot-oil'] }),
        task('b', { after: ['a'], countsAs: ['a'], leadsTo: [{ task: 'a', at: 'end' }] }),
      ]),
    ).toEqual([]);
  });

  it('may not name tasks, covers, fittings and cautions that are not there', () => {
    expect(
      codes([
        task('a', {
          after: ['x'],
          countsAs: ['y'],
          leadsTo: [{ task: 'z', at: 'end' }],
          has: ['mast'],
          needs: { covers: ['lid'], fitted: { mast: 'on' } },
          ifOut: { minutes: 1, steps: [{ do: 'mend', caution: 'none' }], needs: { covers: ['lid'] } },
          steps: [{ do: 'look', caution: 'nothing' }],
          cautions: ['toString'],
        }),
      ]),
    ).toEqual([
      ['task-unknown', 'tasks.0.after.0'],
      ['task-unknown', 'tasks.0.countsAs.0'],
      ['task-unknown', 'tasks.0.leadsTo.0.task'],
      ['fitting-unknown', 'tasks.0.has.0'],
      ['cover-unknown', 'tasks.0.needs.covers.0'],
      ['fitting-unknown', 'tasks.0.needs.fitted.mast'],
      ['cover-unknown', 'tasks.0.ifOut.needs.covers.0'],
      ['caution-unknown', 'tasks.0.cautions.0'],
      ['caution-unknown', 'tasks.0.steps.0.caution'],
      ['caution-unknown', 'tasks.0.ifOut.steps.0.caution'],
    ]);
  });

  it('have ids of their own, and so do their measurements', () => {
    const look = { id: 'm', name: 'm', specification: { kind: 'look', sound: 'dry' } } as const;
    expect(codes([task('a'), task('a', { measure: [look, look] })])).toEqual([
      ['id-twice', 'tasks.1.measure.1.id'],
      ['id-twice', 'tasks.1.id'],
    ]);
  });

  it('need something that brings them: a limit, a word, or another task', () => {
    const { every: _every, ...bare } = task('a');
    expect(codes([bare])).toEqual([['task-never-comes', 'tasks.0']]);
    expect(codes([bare, task('b', { leadsTo: [{ task: 'a', afterHours: 5 }] })])).toEqual([]);
    expect(codes([{ ...bare, when: 'noticed' }])).toEqual([]);
  });
});

describe('circles of after', () => {
  it('are named once each, from the first task in the plan', () => {
    const tasks = [
      task('a', { after: ['c'] }),
      task('b', { after: ['a'] }),
      task('c', { after: ['b'] }),
      task('d', { after: ['d'] }),
      task('e', { after: ['a', 'nowhere'] }),
    ];
    expect(circlesOfAfter(tasks)).toEqual([['a', 'c', 'b'], ['d']]);
  });

  it('are not found where each task waits only for earlier ones, however many there are', () => {
    const tasks = Array.from({ length: 3000 }, (_, index) =>
      task(`t${index}`, index > 0 ? { after: [`t${index - 1}`] } : {}),
    );
    expect(circlesOfAfter(tasks)).toEqual([]);
    expect(circlesOfAfter([...tasks].reverse())).toEqual([]);
  });

  it('are found exactly where no order exists (peeling off tasks that wait for nothing, Kahn 1962)', () => {
    const plans = fc.array(fc.array(fc.nat({ max: 6 }), { maxLength: 3 }), { minLength: 1, maxLength: 7 });
    fc.assert(
      fc.property(plans, (waits) => {
        const tasks = waits.map((after, index) => task(`t${index}`, { after: after.map((other) => `t${other}`) }));
        expect(circlesOfAfter(tasks).length > 0).toBe(!canBeOrdered(tasks));
        for (const circle of circlesOfAfter(tasks)) {
          circle.forEach((id, index) => {
            const next = circle[(index + 1) % circle.length];
            expect(tasks.find((t) => t.id === id)?.after).toContain(next);
          });
        }
      }),
    );
  });
});

function canBeOrdered(tasks: readonly Task[]): boolean {
  let left = [...tasks];
  for (;;) {
    const ids = new Set(left.map(({ id }) => id));
    const next = left.filter(({ after = [] }) => after.some((id) => ids.has(id)));
    if (next.length === left.length) return next.length === 0;
    left = next;
  }
}
