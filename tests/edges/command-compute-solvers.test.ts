import { beforeAll, expect, test } from 'vitest';
import { builtCommand, requireBuilt } from '../stage/command.js';
import { orderChanges as changes } from '../stage/compute-lines.js';

beforeAll(requireBuilt);

const lines = (...cases: readonly object[]) => cases.map((one) => `${JSON.stringify(one)}\n`).join('');
const answersOf = (out: string): unknown[] =>
  out
    .split('\n')
    .slice(0, -1)
    .map((line): unknown => JSON.parse(line));

test('compute order answers each line, says an error in its place, and exits 1', async () => {
  const tasks = [
    { id: 'drain', minutes: 20, needs: { engine: 'warm', covers: ['hood'] } },
    { id: 'belt', minutes: 10, needs: { engine: 'cold', covers: ['hood'] } },
  ];
  const circle = tasks.map((task, at) => ({ ...task, after: [tasks[1 - at]?.id ?? ''] }));
  const input = lines(
    { id: 'a', tasks, changes },
    { id: 'b', tasks: circle, changes },
    { id: 'c', tasks: [], changes },
  );
  const { status, out, err } = await builtCommand(['compute', 'order'], { input });
  expect({ status, err }).toEqual({ status: 1, err: '' });
  expect(answersOf(out)).toEqual([
    { id: 'a', order: ['belt', 'drain'], minutes: 46, proven: true },
    { id: 'b', error: expect.stringContaining('circle') },
    { id: 'c', order: [], minutes: 0, proven: true },
  ]);
});

test('compute grouping and compute inspection answer by their contracts and exit 0', async () => {
  const grouping = {
    id: 1,
    visitCost: 3,
    days: [10, 11],
    bundles: [
      { id: 'oil', cost: [0, 1] },
      { id: 'belt', cost: [2, 0] },
    ],
  };
  const grouped = await builtCommand(['compute', 'grouping'], { input: lines(grouping) });
  expect(grouped.status).toBe(0);
  expect(answersOf(grouped.out)).toEqual([
    { id: 1, visits: [{ day: 11, bundles: ['oil', 'belt'] }], cost: 4, proven: true },
  ]);
  const inspection = {
    id: 2,
    spec: { kind: 'range', min: '10 mm', max: '13 mm' },
    found: '1 5/16 in',
    resolution: '1 mm',
  };
  const inspected = await builtCommand(['compute', 'inspection'], { input: lines(inspection) });
  expect(inspected.status).toBe(0);
  expect(answersOf(inspected.out)).toEqual([
    { id: 2, value: expect.closeTo(33.3375, 9), unit: 'mm', verdict: 'out', text: expect.stringContaining('too much') },
  ]);
});

test('what cannot be computed is bad use: one line, exit status 2', async () => {
  const { status, out, err } = await builtCommand(['compute', 'fortune'], { input: '' });
  expect({ status, out }).toEqual({ status: 2, out: '' });
  expect(err.trim().split('\n')).toHaveLength(1);
  expect(err).toContain('compute grouping');
});
