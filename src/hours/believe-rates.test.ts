import { describe, expect, test } from 'vitest';
import { atDay, someHousehold, someMachine } from '../../tests/stage/small-machine.js';
import { dayMs } from '../domain/day.js';
import { noFacts, type Reading } from '../domain/facts.js';
import type { SeasonWord } from '../domain/machine.js';
import { type Belief, believeReading } from './believe.js';
import { gatherEvidence } from './evidence.js';

/** Uniform numbers from a seed. Source: minimal standard generator, Park and Miller (1988) Commun. ACM 31:1192-1201, from memory. */
function uniform(seed: number): () => number {
  let state = (seed * 7919 + 17) % 2_147_483_647;
  for (let i = 0; i < 5; i += 1) state = (state * 48_271) % 2_147_483_647;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

interface Owner {
  readonly hoursPerYear: number;
  readonly told: number | null;
  readonly season: SeasonWord;
  /** True hours at the end of each day, tenths on the meter. */
  readonly meter: readonly number[];
  readonly readOn: readonly number[];
}

const seasons: readonly SeasonWord[] = ['unknown', 'even', 'summer', 'winter'];
const household = someHousehold();
const startMs = atDay('2028-01-05');

/** An owner of some 15 to 250 h a year in sessions of half an hour to three, with a season, who reads the meter every 5 to 90 days, and
 *  knows the hours a year to within a factor of two, or not at all. */
function anOwner(seed: number): Owner {
  const random = uniform(seed);
  const hoursPerYear = 15 * Math.exp(random() * Math.log(250 / 15));
  const season = seasons[Math.floor(random() * seasons.length)] ?? 'unknown';
  const session = 0.5 + 2.5 * random();
  const peak = season === 'winter' ? 15 : season === 'summer' ? 190 : random() * 365;
  const strength = season === 'even' ? 0 : 0.9;
  const meter: number[] = [];
  const readOn: number[] = [];
  let hours = random() < 0.4 ? 0 : random() * 900;
  let next = 0;
  for (let day = 0; day < 3 * 365; day += 1) {
    const yearly = 1 + strength * Math.cos((2 * Math.PI * (day - peak)) / 365);
    const p = Math.min(0.95, ((hoursPerYear / 365) * yearly) / session);
    if (random() < p) hours += Math.min(12, -session * Math.log(1 - random() * 0.999));
    meter.push(hours);
    if (day >= next) {
      readOn.push(day);
      next = day + 5 + Math.floor(85 * random());
    }
  }
  return { hoursPerYear, told: random() < 0.5 ? null : hoursPerYear * 2 ** (2 * random() - 1), season, meter, readOn };
}

const shown = (hours: number) => Math.floor(hours * 10 + 1e-6) / 10;

function judge(owner: Owner, index: number, hours: number): Belief {
  const readings = owner.readOn.slice(0, index).map(
    (day, i): Reading => ({
      id: `r${i}`,
      atMs: startMs + day * dayMs,
      hours: shown(owner.meter[day] ?? 0),
      about: false,
      door: 'page',
      by: null,
    }),
  );
  const expectation = owner.told === null ? {} : { hoursPerYear: owner.told };
  const machine = someMachine([], { expect: { season: owner.season, ...expectation } });
  const atMs = startMs + (owner.readOn[index] ?? 0) * dayMs;
  return believeReading(
    machine,
    gatherEvidence(machine, { ...noFacts(machine.id), readings }, household.hemisphere),
    household,
    { atMs, hours },
    atMs,
  );
}

/** Each owner's later readings, a few of them, with the true value. */
function* readingsOf(owners: number) {
  for (let seed = 1; seed <= owners; seed += 1) {
    const owner = anOwner(seed);
    for (let index = 1; index < owner.readOn.length; index += 2) {
      const day = owner.readOn[index] ?? 0;
      const last = shown(owner.meter[owner.readOn[index - 1] ?? 0] ?? 0);
      const gapDays = day - (owner.readOn[index - 1] ?? 0);
      yield { owner, index, truth: shown(owner.meter[day] ?? 0), last, gapDays };
    }
  }
}

describe('over a hundred invented owners', () => {
  test('honest readings are hardly ever questioned', () => {
    let all = 0;
    let questioned = 0;
    for (const { owner, index, truth } of readingsOf(100)) {
      all += 1;
      if (judge(owner, index, truth).kind !== 'believed') questioned += 1;
    }
    expect(all).toBeGreaterThan(800);
    // 2 of 1186 were, when this was written.
    expect(questioned / all).toBeLessThan(0.01);
  });

  test('a lost decimal point is asked about or refused, and the number that was meant is named', () => {
    let all = 0;
    let caught = 0;
    let named = 0;
    for (const { owner, index, truth, last, gapDays } of readingsOf(100)) {
      const typed = Math.round(truth * 10);
      if (Number.isInteger(truth)) continue;
      // Ten times too much tells itself apart where the rise would be ten times what the owner uses in that time.
      const usual = Math.max(1, (owner.hoursPerYear * gapDays) / 365);
      if (typed - last < 10 * usual) continue;
      all += 1;
      const belief = judge(owner, index, typed);
      if (belief.kind === 'believed') continue;
      caught += 1;
      if (belief.kind === 'questionable' && belief.suggestionHours === truth) named += 1;
      if (belief.kind === 'refused' && belief.fault.remedy?.includes(`Did you mean ${truth} h?`)) named += 1;
    }
    expect(all).toBeGreaterThan(500);
    // 1058 of 1063 were caught and 1046 named, when this was written.
    expect(caught / all).toBeGreaterThan(0.95);
    expect(named / all).toBeGreaterThan(0.9);
  });
});
