import { expect, test } from 'vitest';
import { seededRandom } from '../../src/rehearsal/random.js';
import { inventOwners } from '../../src/rehearsal/scoring/invented-owners.js';
import { layCases } from '../../src/rehearsal/scoring/lay-cases.js';
import { scoreFamily } from '../../src/rehearsal/scoring/score-family.js';
import { shareTold, wrongWord } from '../../src/rehearsal/scoring/wrong-word.js';

const byFamily = new Map<string, ReturnType<typeof layCases>>();
for (const owner of inventOwners(12, seededRandom(2031)))
  byFamily.set(owner.family, [
    ...(byFamily.get(owner.family) ?? []),
    ...layCases(owner, 5, seededRandom(owner.hours.length)),
  ]);

// Sixty cases a family: the bounds leave three deviations of chance around what many more cases show (`npm run score`).
test.each([...byFamily])('%s: dates hold as often as they say and beat the pencil', (_, cases) => {
  const score = scoreFamily(cases, 'unknown');
  expect(score.dueHeld[1]).toBeGreaterThan(0.65);
  expect(score.dueHeld[2]).toBeGreaterThan(0.85);
  expect(score.nowHeld).toBeGreaterThan(0.65);
  expect(score.nowHeldShared).toBeLessThanOrEqual(score.nowHeld + 0.02);
  expect(score.crpsRatio).toBeLessThan(0.95);
});

test('a mower said to work in winter is forecast as without a word, and its owner hears of it', () => {
  const cases = byFamily.get('mows in summer') ?? [];
  const without = scoreFamily(cases, 'unknown');
  const wrong = scoreFamily(cases, wrongWord.summer);
  expect(wrong.crpsRatio).toBeLessThan(without.crpsRatio * 1.15);
  expect(shareTold(cases, wrongWord.summer)).toBeGreaterThan(0.6);
  expect(shareTold(cases, 'summer')).toBe(0);
});
