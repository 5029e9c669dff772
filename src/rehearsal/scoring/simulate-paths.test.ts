import { describe, expect, test } from 'vitest';
import { dayMs } from '../../domain/day.js';
import { pSumAtLeast } from '../../maths/compound-poisson.js';
import { seededRandom } from '../random.js';
import { evidenceFor } from './estimate-for.js';
import { inventOwners } from './invented-owners.js';
import { layCases } from './lay-cases.js';
import { drawFirstPassages, fitForPaths, type PathModel, shareBy } from './simulate-paths.js';

const paths = 20_000;
/** Four standard errors of a share of so many paths. */
const noise = 4 * Math.sqrt(0.25 / paths);
const ends = Float64Array.from([15, 30, 45, 60]);

/** Half an hour a day in four cells, with one doubt about the level. */
function levelModel(levelSd: number, phi: number): PathModel {
  const mean = new Float64Array(4).fill(Math.log(0.5));
  const covariance = new Float64Array(16).fill(levelSd ** 2);
  return { originMs: 0, originHours: 100, ends, laws: [{ weight: 1, phi, mean, covariance }] };
}

// Jørgensen 1987 JRSS B 49:127-162: what the paths' sums must follow where the rate is known.
test.each([1, 3, 8, 22])(
  'with a rate that is known, paths pass as compound Poisson sums do (bursts of φ = %d)',
  (phi) => {
    const passages = drawFirstPassages(levelModel(0, phi), 112, paths, seededRandom(3 + phi));
    for (const days of [7, 20, 45, 60]) {
      const exact = pSumAtLeast(12, 0.5 * days, phi);
      expect(Math.abs(shareBy(passages, 0, days) - exact)).toBeLessThan(noise);
    }
  },
);

test('with a level that is doubted, paths pass as the mixture over levels does, by quadrature', () => {
  const levelSd = 0.9;
  const passages = drawFirstPassages(levelModel(levelSd, 3), 112, paths, seededRandom(8));
  for (const days of [10, 30, 60]) {
    let exact = 0;
    const step = 0.01;
    for (let z = -6; z <= 6; z += step) {
      const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
      exact += step * density * pSumAtLeast(12, 0.5 * days * Math.exp(levelSd * z), 3);
    }
    expect(Math.abs(shareBy(passages, 0, days) - exact)).toBeLessThan(noise);
  }
});

test('beliefs are drawn by their weights', () => {
  const busy = levelModel(0, 1).laws[0];
  if (busy === undefined) throw new Error('no law');
  const idle = { ...busy, weight: 0.7, mean: new Float64Array(4).fill(-20) };
  const model = { ...levelModel(0, 1), laws: [{ ...busy, weight: 0.3 }, idle] };
  expect(shareBy(drawFirstPassages(model, 101, paths, seededRandom(4)), 0, 60)).toBeCloseTo(0.3, 2);
});

test('the engine never runs more than a day a day', () => {
  const model = levelModel(0, 0.01);
  const racing = model.laws.map((law) => ({ ...law, mean: new Float64Array(4).fill(5) }));
  const passages = drawFirstPassages({ ...model, laws: racing }, 100 + 24 * 30, 200, seededRandom(5));
  for (const days of passages) expect(days).toBeGreaterThan(28);
});

describe('paths of a fitted machine', () => {
  const [owner] = inventOwners(1, seededRandom(2));
  const [aCase] = owner === undefined ? [] : layCases(owner, 1, seededRandom(6));
  if (aCase === undefined) throw new Error('no case');
  const { question } = aCase;
  const model = fitForPaths(evidenceFor(question, false), question.nowMs)(400);

  test('are the same for the same seed, and others for another', () => {
    const draw = (seed: number) => drawFirstPassages(model, question.targetHours, 50, seededRandom(seed));
    expect(draw(1)).toEqual(draw(1));
    expect(draw(1)).not.toEqual(draw(2));
  });

  test('have passed at once what the meter already shows', () => {
    expect([...drawFirstPassages(model, model.originHours, 3, seededRandom(1))]).toEqual([0, 0, 0]);
  });

  test('reach as many days as were asked for', () => {
    expect(model.ends.at(-1)).toBeGreaterThanOrEqual(400);
    expect(model.ends.at(-2)).toBeLessThan(400);
  });

  test('are not drawn from a feed', () => {
    const runs = [{ fromMs: question.nowMs - 2 * dayMs, toMs: question.nowMs - dayMs }];
    const fed = evidenceFor({ ...question, runs }, false);
    expect(() => fitForPaths(fed, question.nowMs)).toThrow(RangeError);
  });
});
