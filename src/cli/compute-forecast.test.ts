import { Readable } from 'node:stream';
import { describe, expect, test } from 'vitest';
import { computeForecastLines } from './compute-forecast.js';

const aCase = (over: Record<string, unknown> = {}) => ({
  id: 'a1',
  now: '2031-04-02T00:00:00Z',
  targetHours: 250,
  readings: [
    { at: '2030-05-01T00:00:00Z', hours: 180.2 },
    { at: '2030-11-20T18:00:00+01:00', hours: 221 },
  ],
  levels: [0.1, 0.5, 0.9],
  probeDays: [0, 30, 365],
  ...over,
});

async function answer(...pieces: (string | Buffer)[]) {
  const lines: string[] = [];
  const status = await computeForecastLines(
    Readable.from(pieces, { objectMode: true }),
    (line) => lines.push(line) > 0,
  );
  return { status, answers: lines.map((line): Record<string, unknown> => JSON.parse(line)) };
}
const one = (over: Record<string, unknown> = {}) => answer(`${JSON.stringify(aCase(over))}\n`);

describe('compute forecast', () => {
  test('answers one number a level and a probe day, in order of the input, without a last newline', async () => {
    const { status, answers } = await answer(`${JSON.stringify(aCase())}\n${JSON.stringify(aCase({ id: 7 }))}`);
    expect(status).toBe(0);
    expect(answers.map((each) => each.id)).toEqual(['a1', 7]);
    expect(answers[0]).toMatchObject({
      hoursNow: [expect.any(Number), expect.any(Number), expect.any(Number)],
      dueWithin: [expect.any(Number), expect.any(Number), expect.any(Number)],
    });
    expect(answers[0]?.dueDays).toHaveLength(3);
  });

  test('a bad line gets its error, the rest go on, and the status is 1', async () => {
    const { status, answers } = await answer(
      `{"id":"x"\n\n${JSON.stringify(aCase({ id: 'b', targetHours: 'many' }))}\n${JSON.stringify(aCase({ id: 'c' }))}\n`,
    );
    expect(status).toBe(1);
    expect(answers[0]).toEqual({ id: null, error: 'The line is not JSON.' });
    expect(answers[1]).toMatchObject({ id: 'b', error: expect.stringContaining('targetHours') });
    expect(answers[2]).toMatchObject({ id: 'c', hoursNow: expect.any(Array) });
  });

  test('lines and letters may be cut anywhere', async () => {
    const bytes = Buffer.from(`${JSON.stringify(aCase({ id: 'mäher' }))}\n${JSON.stringify(aCase({ id: 'zwei' }))}\n`);
    const pieces = Array.from({ length: bytes.length }, (_, i) => bytes.subarray(i, i + 1));
    const { answers } = await answer(...pieces);
    expect(answers.map((each) => each.id)).toEqual(['mäher', 'zwei']);
  });

  test('a line of a megabyte is answered', async () => {
    const { status, answers } = await one({ notes: 'x'.repeat(1 << 20) });
    expect({ status, id: answers[0]?.id }).toEqual({ status: 0, id: 'a1' });
  });

  test('a line of more than 16 megabytes is refused, and the next is answered', async () => {
    const long = Array.from({ length: 17 }, () => 'x'.repeat(1_000_000));
    const { status, answers } = await answer(...long, `\n${JSON.stringify(aCase())}\n`);
    expect(status).toBe(1);
    expect(answers[0]).toMatchObject({ id: null, error: expect.stringContaining('longer than') });
    expect(answers[1]).toMatchObject({ id: 'a1' });
    expect(answers).toHaveLength(2);
  });

  test.each([
    ['negative hours', { readings: [{ at: '2030-05-01T00:00:00Z', hours: -1 }] }, 'readings.0.hours'],
    ['hours as text', { readings: [{ at: '2030-05-01T00:00:00Z', hours: '12' }] }, 'readings.0.hours'],
    ['an impossible day', { readings: [{ at: '2030-02-30T00:00:00Z', hours: 1 }] }, 'readings.0.at'],
    ['hours that fall', { readings: [{ at: '2030-05-01Z', hours: 9 }] }, 'readings.0.at'],
    ['no readings', { readings: [] }, 'nothing to forecast from'],
    ['a future reading', { readings: [{ at: '2032-05-01T00:00:00Z', hours: 9 }] }, 'after now'],
    ['an absurd target', { targetHours: 1e300 }, 'targetHours'],
    ['a level of 1', { levels: [1] }, 'levels.0'],
    ['a word for no season', { expect: { season: 'monsoon' } }, 'expect.season'],
    [
      'a run that ends before it begins',
      { runs: [{ from: '2030-06-02T00:00:00Z', to: '2030-06-01T00:00:00Z' }] },
      'runs.0',
    ],
  ])('%s is an error that names the place', async (_, over, place) => {
    const { status, answers } = await one(over);
    expect(status).toBe(1);
    expect(answers[0]).toMatchObject({ id: 'a1', error: expect.stringContaining(place) });
  });

  test('unknown keys are passed over', async () => {
    expect((await one({ colour: 'green' })).status).toBe(0);
  });

  test('a target already passed is certain and lies before now', async () => {
    const { answers } = await one({ targetHours: 200 });
    expect(answers[0]?.dueWithin).toEqual([1, 1, 1]);
    expect(answers[0]?.dueDays).toEqual([-132.2917, -132.2917, -132.2917]);
  });
});
