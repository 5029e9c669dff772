import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { liveThroughRound, type RoundPlan, type RoundResult } from '../stage/feed-round.js';

const built = fileURLToPath(new URL('../../dist/feed/watch.js', import.meta.url));
/** `npm run torture` lives through more and longer ones. */
const rounds = Number(process.env.SHEDBELL_ROUNDS ?? 3);
const messages = Number(process.env.SHEDBELL_MESSAGES ?? 1500);
const seed = Number(process.env.SHEDBELL_SEED ?? 20_310_614);
const speed = 200;
const results: { readonly plan: RoundPlan; readonly result: RoundResult; readonly seconds: number }[] = [];

const plans = Array.from({ length: rounds }, (_, i): RoundPlan => {
  const restarts = i % 3 === 2;
  return {
    seed: seed + i,
    messages,
    protocol: i % 2 === 0 ? '3.1.1' : '5',
    style: (i >> 1) % 2 === 0 ? 'small' : 'bursts',
    restarts,
    tellsTime: restarts,
    faults: Math.max(6, Math.round(messages / 200)),
    speed,
    paceMs: 4,
  };
});

beforeAll(() => {
  if (process.env.SHEDBELL_BUILT === undefined && !existsSync(built)) {
    throw new Error('This test kills the built service: run "npm run build" first.');
  }
});

afterAll(() => {
  const worst = (of: (result: RoundResult) => number) =>
    results.reduce((most, { result }) => (Math.abs(of(result)) > Math.abs(most) ? of(result) : most), 0);
  const sum = (of: (result: RoundResult) => number) => results.reduce((all, { result }) => all + of(result), 0);
  process.stdout.write(
    `${results.length} rounds from seed ${seed}, ${sum(({ sent }) => sent)} messages, ` +
      `${sum(({ faults }) => Object.values(faults).reduce((all, times) => all + times, 0))} faults; ` +
      `worst error: counter ${worst(({ counterError }) => counterError)} s, running ${worst(({ wordError }) => wordError)} s ` +
      `of ${Math.max(...results.map(({ result }) => result.trueSeconds))} s\n`,
  );
});

test.each(plans)(
  'over MQTT $protocol nothing is counted twice or lost while service, broker and network fail ($style, seed $seed)',
  async (plan) => {
    const from = performance.now();
    const result = await liveThroughRound(plan);
    results.push({ plan, result, seconds: (performance.now() - from) / 1000 });
    if (process.env.SHEDBELL_ROUNDS !== undefined) {
      const { warnings, ...figures } = result;
      process.stdout.write(
        `${JSON.stringify({ ...plan, ...figures, warnings: warnings.length, seconds: Math.round((performance.now() - from) / 1000) })}\n`,
      );
    }
    expect(Object.values(result.faults).reduce((all, times) => all + times, 0)).toBe(plan.faults);
    expect(result.trueSeconds).toBeGreaterThan(100);
    const said = `seed ${plan.seed}`;
    expect(result.counterError, said).toBe(0);
    expect(Math.abs(result.wordError), said).toBeLessThanOrEqual(result.longestReportSeconds);
    expect(result.heardError, said).toBe(0);
    // Every word that was heard in turn leaves no room: more than the truth comes of a lost no only.
    if (result.lostWords === 0) expect(result.wordError, said).toBeLessThanOrEqual(0);
    expect(Math.abs(result.counterRunsError), said).toBeLessThan(0.001);
    expect(Math.abs(result.wordRunsError), said).toBeLessThan(0.001);
  },
  120_000,
);
