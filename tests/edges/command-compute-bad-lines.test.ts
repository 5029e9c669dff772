import { beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { builtCommand, requireBuilt } from '../stage/command.js';

beforeAll(requireBuilt);

const answerShape = z.union([
  z.strictObject({ id: z.union([z.string(), z.number()]).nullable(), error: z.string().min(10).max(600) }),
  z.strictObject({
    id: z.union([z.string(), z.number()]),
    hoursNow: z.array(z.number()),
    dueDays: z.array(z.number().nullable()),
    dueWithin: z.array(z.number().min(0).max(1)),
  }),
]);

const readings = [
  { at: '2030-05-01T00:00:00Z', hours: 180.2 },
  { at: '2030-09-12T00:00:00Z', hours: 203 },
];
const good = (id: string) =>
  JSON.stringify({ id, now: '2031-04-02T00:00:00Z', targetHours: 250, readings, levels: [0.1, 0.5], probeDays: [30] });
/** A good line with a piece of its text put in the place of another. */
const spoilt = (from: string, to: string) => {
  const line = good('bad').replace(from, to);
  if (line === good('bad')) throw new Error(`nothing to spoil: ${from}`);
  return line;
};

/** What is wrong, the line, and what the error must say. */
const bad: readonly (readonly [string, string, RegExp])[] = [
  ['NaN for hours', spoilt(':203', ':NaN'), /not JSON/],
  ['NaN for the target', spoilt('250', 'NaN'), /not JSON/],
  ['null for hours', spoilt(':203', ':null'), /readings\.1\.hours/],
  ['infinity for hours', spoilt(':203', ':1e999'), /readings\.1\.hours/],
  ['minus infinity for the target', spoilt('250', '-1e999'), /targetHours/],
  ['the word Infinity', spoilt(':203', ':Infinity'), /not JSON/],
  ['text for hours', spoilt(':203', ':"203"'), /readings\.1\.hours/],
  ['text for the target', spoilt('250', '"soon"'), /targetHours/],
  ['text for an instant', spoilt('2030-09-12T00:00:00Z', 'in autumn'), /readings\.1\.at/],
  ['a day that does not exist', spoilt('2030-09-12', '2030-02-30'), /readings\.1\.at/],
  ['negative hours', spoilt('180.2', '-180.2'), /readings\.0\.hours/],
  ['a negative target', spoilt('250', '-250'), /targetHours/],
  ['an absurd target', spoilt('250', '1e300'), /targetHours/],
  ['hours that fall', spoilt(':203', ':170'), /fall.*170 h.*180\.2 h/s],
  ['a reading in the future', spoilt('2030-09-12', '2033-09-12'), /after now/],
  ['one instant with two hours', spoilt('2030-09-12', '2030-05-01'), /differ.*180\.2 h and 203 h/s],
  ['no readings', spoilt(JSON.stringify(readings), '[]'), /nothing to forecast from/],
  ['readings that are no list', spoilt(JSON.stringify(readings), '{}'), /readings/],
  ['a level of 0', spoilt('[0.1,', '[0,'), /levels\.0/],
  ['a probe day before now', spoilt('[30]', '[-1]'), /probeDays\.0/],
  ['a list nested a hundred thousand deep', `${'['.repeat(100_000)}${']'.repeat(100_000)}`, /./],
  ['a megabyte of nothing', 'x'.repeat(1 << 20), /not JSON/],
  ['a megabyte of text in place of hours', spoilt(':203', `:"${'9'.repeat(1 << 20)}"`), /readings\.1\.hours/],
  ['a megabyte of digits', spoilt(':203', `:${'9'.repeat(1 << 20)}`), /readings\.1\.hours/],
];

describe('compute forecast on one stream with every bad line we know', () => {
  test('says on each what is wrong, in its place, and answers every line between', async () => {
    const lines = bad.flatMap(([name, line]) => [line, good(`after ${name}`)]);
    const { status, out, err } = await builtCommand(['compute', 'forecast'], { input: `${lines.join('\n')}\n` });
    expect({ status, err }).toEqual({ status: 1, err: '' });
    const answers = out
      .trimEnd()
      .split('\n')
      .map((line) => answerShape.parse(JSON.parse(line)));
    expect(answers).toHaveLength(lines.length);
    for (const [i, [name, , says]] of bad.entries()) {
      const [wrong, right] = [answers[2 * i], answers[2 * i + 1]];
      expect({ name, error: wrong !== undefined && 'error' in wrong ? wrong.error : null }).toEqual({
        name,
        error: expect.stringMatching(says),
      });
      expect(right).toMatchObject({ id: `after ${name}`, dueWithin: [expect.any(Number)] });
    }
  });
});
