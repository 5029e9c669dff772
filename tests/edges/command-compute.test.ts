import { beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { builtCommand, requireBuilt } from '../stage/command.js';

beforeAll(requireBuilt);

const answerShape = z.object({
  id: z.union([z.string(), z.number()]),
  hoursNow: z.array(z.number()),
  dueDays: z.array(z.number().nullable()),
  dueWithin: z.array(z.number().min(0).max(1)),
});
const errorShape = z.object({ id: z.union([z.string(), z.number()]).nullable(), error: z.string().min(1) });
type Answer = z.infer<typeof answerShape>;

/** Four years of an orchard's mower, thirty-odd hours in each; our own invention. */
const history = [
  ['2027-04-10', 12.4],
  ['2027-06-20', 24.1],
  ['2027-10-02', 41.3],
  ['2028-05-14', 49.8],
  ['2028-09-30', 73.2],
  ['2029-05-27', 84],
  ['2029-10-07', 106.9],
  ['2030-06-02', 119.5],
  ['2030-09-29', 138.8],
] as const;
const levels = [0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975];
const probeDays = [0, 7, 14, 30, 60, 90, 180, 365, 548];

function aCase(id: string | number, over: Record<string, unknown> = {}) {
  const readings = history.map(([day, hours]) => ({ at: `${day}T16:00:00Z`, hours }));
  return { id, now: '2030-10-01T00:00:00Z', targetHours: 175, readings, levels, probeDays, ...over };
}

async function compute(input: string) {
  const { status, out, err } = await builtCommand(['compute', 'forecast'], { input });
  expect(err).toBe('');
  if (out !== '') expect(out.endsWith('\n')).toBe(true);
  return {
    status,
    answers: out
      .split('\n')
      .slice(0, -1)
      .map((line): unknown => JSON.parse(line)),
  };
}

async function answersTo(...cases: readonly object[]): Promise<readonly Answer[]> {
  const { status, answers } = await compute(cases.map((one) => `${JSON.stringify(one)}\n`).join(''));
  expect(status).toBe(0);
  return answers.map((answer) => answerShape.parse(answer));
}

function span(values: readonly (number | null)[]): number {
  const [low, high] = [values[1], values[5]];
  if (typeof low !== 'number' || typeof high !== 'number') throw new Error('a quantile is missing');
  return high - low;
}

describe('compute forecast', () => {
  test('answers in the shape that scripts rely on: quantiles that never fall, chances that never fall', async () => {
    const [answer] = await answersTo(aCase('a1'));
    expect(Object.keys(answer ?? {}).sort()).toEqual(['dueDays', 'dueWithin', 'hoursNow', 'id']);
    expect(answer?.hoursNow).toHaveLength(levels.length);
    expect(answer?.dueDays).toHaveLength(levels.length);
    expect(answer?.dueWithin).toHaveLength(probeDays.length);
    const ascending = (values: readonly (number | null)[]) =>
      values.every((v, i) => i === 0 || (v ?? 1e9) >= (values[i - 1] ?? 1e9));
    expect(ascending(answer?.hoursNow ?? [])).toBe(true);
    expect(ascending(answer?.dueDays ?? [])).toBe(true);
    expect(ascending(answer?.dueWithin ?? [])).toBe(true);
  });

  test('the older the last reading, the wider the hours now; a fresh one narrows hours and date', async () => {
    const ages = ['2030-10-01', '2030-11-15', '2031-01-15', '2031-05-15', '2031-09-15'];
    const aging = await answersTo(...ages.map((day) => aCase(day, { now: `${day}T00:00:00Z`, targetHours: 250 })));
    const widths = aging.map((answer) => span(answer.hoursNow));
    for (const [i, width] of widths.entries()) if (i > 0) expect(width).toBeGreaterThan(widths[i - 1] ?? 0);

    const now = '2031-09-15T00:00:00Z';
    const old = aCase('old', { now, targetHours: 250 });
    const fresh = { ...old, id: 'fresh', readings: [...old.readings, { at: '2031-09-14T16:00:00Z', hours: 168 }] };
    const [before, after] = await answersTo(old, fresh);
    expect(span(after?.hoursNow ?? [])).toBeLessThan(0.2 * span(before?.hoursNow ?? []));
    expect(span(after?.dueDays ?? [])).toBeLessThan(span(before?.dueDays ?? []));
  });

  test('a target passed before now is due on negative days, with certainty, back to the last reading', async () => {
    const [answer] = await answersTo(aCase('past', { targetHours: 138 }));
    expect(answer?.dueWithin.every((p) => p === 1)).toBe(true);
    for (const days of answer?.dueDays ?? []) expect(days).toBeLessThan(0);
  });

  test('a target beyond ten years is null', async () => {
    const [answer] = await answersTo(aCase('far', { targetHours: 90_000 }));
    expect(answer?.dueDays.every((days) => days === null)).toBe(true);
  });

  test('order is kept over many lines, and the last needs no newline', async () => {
    const ids = Array.from({ length: 300 }, (_, i) => (i % 2 === 0 ? i : `n${i}`));
    const { status, answers } = await compute(ids.map((id) => JSON.stringify(aCase(id))).join('\n'));
    expect(status).toBe(0);
    expect(answers.map((answer) => answerShape.parse(answer).id)).toEqual(ids);
  });

  test('a line that fails answers in its place with its id where it has one; the rest go on; exit status 1', async () => {
    const lines = [
      JSON.stringify(aCase('first')),
      '{"id":"torn"',
      'null',
      '[]',
      '"words"',
      '{}',
      JSON.stringify(aCase('nan', { targetHours: null })),
      JSON.stringify(aCase('huge')).replace('175', '1e308'),
      JSON.stringify(aCase(17, { levels: [0] })),
      JSON.stringify(aCase('when', { now: 'soon' })),
      JSON.stringify(aCase('future', { readings: [{ at: '2040-01-01T00:00:00Z', hours: 5 }] })),
      '\u0000',
      JSON.stringify(aCase('last')),
    ];
    const { status, answers } = await compute(`${lines.join('\n')}\n`);
    expect(status).toBe(1);
    expect(answers).toHaveLength(lines.length);
    const failed = answers.slice(1, -1).map((answer) => errorShape.parse(answer));
    expect(failed.map((answer) => answer.id)).toEqual([
      null,
      null,
      null,
      null,
      null,
      'nan',
      'huge',
      17,
      'when',
      'future',
      null,
    ]);
    expect(answerShape.parse(answers[0]).id).toBe('first');
    expect(answerShape.parse(answers.at(-1)).id).toBe('last');
  });

  test('unknown keys, blank lines, a byte order mark and Windows line ends are passed over', async () => {
    const { status, answers } = await compute(
      `\uFEFF${JSON.stringify(aCase('a', { colour: 'red' }))}\r\n\r\n\n${JSON.stringify(aCase('b'))}\r\n`,
    );
    expect(status).toBe(0);
    expect(answers.map((answer) => answerShape.parse(answer).id)).toEqual(['a', 'b']);
  });

  test('no input is no answer', async () => {
    expect(await compute('')).toEqual({ status: 0, answers: [] });
    expect(await compute('\n')).toEqual({ status: 0, answers: [] });
  });

  test('a line of a megabyte is answered: twenty thousand readings, and a long word that nobody asked for', async () => {
    const readings = Array.from({ length: 20_000 }, (_, i) => ({
      at: `${new Date(Date.UTC(2020, 0, 1) + i * 4 * 3_600_000).toISOString().slice(0, 19)}Z`,
      hours: Math.round(i) / 10,
    }));
    const [many, long] = await answersTo(
      aCase('many', { readings, targetHours: 2200 }),
      aCase('long', { note: 'x'.repeat(1 << 20) }),
    );
    expect(many?.hoursNow[3]).toBeGreaterThan(1999);
    expect(long?.id).toBe('long');
  });

  test('needs no home folder and takes no notice of one', async () => {
    const input = `${JSON.stringify(aCase('a'))}\n`;
    const plain = await builtCommand(['compute', 'forecast'], { input });
    const told = await builtCommand(['--home', '/nowhere/at/all', 'compute', 'forecast'], {
      input,
      env: { SHEDBELL_HOME: '/nor/here' },
    });
    expect(told).toEqual(plain);
  });
});
