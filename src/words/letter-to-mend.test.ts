import { expect, test } from 'vitest';
import { asking, below, whole, write } from '../../tests/stage/letter-said.js';
import { context, home, notice, outlook, tractor, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { OpenFinding } from '../domain/open-findings.js';
import type { Task } from '../domain/task.js';

const stop = { kind: 'test', passes: 'the engine stops', stopUse: true } as const;
const gap = { kind: 'range', min: '10 mm', max: '14 mm' } as const;
const [oil] = tractor.tasks;
if (oil === undefined) throw new Error('the scene has a task');
const switches: Task = {
  ...oil,
  id: 'switches',
  title: 'Safety switches',
  measure: [
    { id: 'seat', name: 'seat', specification: stop },
    { id: 'gap', name: 'gap', specification: gap },
  ],
};
const found = (task: string, out: string): OpenFinding => ({
  task,
  out: [out],
  day: parseDay('2031-03-09'),
  enteredAtMs: 1,
});
const where = (...toMend: readonly OpenFinding[]) =>
  context({
    home: { ...home, machines: [{ ...tractor, tasks: [...tractor.tasks, switches] }] },
    outlook: {
      ...outlook,
      machines: outlook.machines.map((one) => (one.machine === tractor.id ? { ...one, toMend } : one)),
    },
  });
const notToBeUsed =
  'Hill tractor, safety switches: found outside its limits on 9 March, to be mended; do not use it until mended.';

test('every letter about a machine that is not to be used says so before anything else', () => {
  for (const one of [notice('work'), notice('late'), notice('parts'), asking()]) {
    const [first] = write([one], where(found('switches', 'seat'))).blocks;
    expect(first).toEqual({ kind: 'text', text: notToBeUsed });
  }
});

test('anything else outside its limits is said calmly, without forbidding use', () => {
  const said = whole(write([notice('parts')], where(found('switches', 'gap'))));
  expect(said).toContain('safety switches: found outside its limits on 9 March, to be mended; until then it may wear');
  expect(said).not.toContain('do not use');
});

test('a job of the visit itself that was found so says it in the list, once', () => {
  const letter = write([notice('work')], where(found('fan-belt', 'slack')));
  expect(below(letter, 'In working order')[0]).toBe(
    'Check the fan belt, 10 min: found outside its limits on 9 March, to be mended',
  );
  expect(whole(letter).match(/found outside its limits/g)).toHaveLength(1);
});

test('the subject of a letter about parts names the first of them, so that two such letters differ', () => {
  const [filter, ...rest] = visit.shopping;
  if (filter === undefined) throw new Error('the scene buys nothing');
  const shopping = [{ ...filter, name: 'spark plug' }, ...rest.map((item) => ({ ...item, toBuy: 0 }))];
  const other = context({ outlook: { ...outlook, visits: [{ ...visit, shopping }] } });
  expect(write([notice('parts')], other).subject).toContain('buy spark plug ');
  expect(write([notice('parts')]).subject).toContain('buy engine oil filter +1 ');
});
