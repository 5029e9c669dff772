import { expect, test } from 'vitest';
import { dayMs } from '../../domain/day.js';
import { pReached } from '../../hours/at.js';
import { estimateHours } from '../../hours/estimate.js';
import { seededRandom } from '../random.js';
import { evidenceFor } from './estimate-for.js';
import { inventOwners } from './invented-owners.js';
import { layCases } from './lay-cases.js';
import { drawFirstPassages, fitForPaths, shareBy } from './simulate-paths.js';

const paths = 10_000;
const days = [7, 30, 90, 180, 365, 540];
const owners = inventOwners(1, seededRandom(21)).flatMap((owner, i) =>
  layCases(owner, 2, seededRandom(40 + i)).map((one, k) => ({
    ...one,
    left: [1, 2, 3, 5, 12, 60][(i + 3 * k) % 6] ?? 1,
  })),
);

test.each(owners.map((one) => ({ ...one, name: one.series.name })))(
  '$name read $left times: chances lie within 0.02 of simulated paths of the same model, beyond three standard errors',
  ({ question, left }) => {
    const readings = question.readings.slice(-left);
    const evidence = evidenceFor({ ...question, readings }, false);
    const estimate = estimateHours(evidence, question.nowMs);
    if (estimate === null) throw new Error('no estimate');
    const unread = (question.nowMs - estimate.timeline.origin.atMs) / dayMs;
    const model = fitForPaths(evidence, question.nowMs)(unread + 540);
    const passages = drawFirstPassages(model, question.targetHours, paths, seededRandom(77));
    for (const day of days) {
      const drawn = shareBy(passages, unread, day);
      const p = pReached(estimate, question.targetHours, question.nowMs + day * dayMs);
      const noise = 3 * Math.sqrt(Math.max(2e-4, drawn * (1 - drawn)) / paths);
      expect(Math.abs(p - drawn)).toBeLessThan(0.02 + noise);
    }
  },
);
