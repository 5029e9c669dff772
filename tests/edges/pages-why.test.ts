import { afterEach, beforeEach, expect, test } from 'vitest';
import { addDays, daysBetween, endOfDay } from '../../src/domain/day.js';
import { hoursQuantiles } from '../../src/hours/at.js';
import { estimateHours } from '../../src/hours/estimate.js';
import { gatherEvidence } from '../../src/hours/evidence.js';
import { foresee } from '../../src/hours/foresee.js';
import { expectedUse } from '../../src/hours/law.js';
import { gather } from '../../src/ledger/gather.js';
import { dayIfUsed, explainDue } from '../../src/outlook/explain-due.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

const id = 'bank-tractor';

function oilOf() {
  const outlook = pages.outlook();
  const home = pages.books.home();
  const machine = home.machines.find((one) => one.id === id);
  const due = outlook.machines
    .find((one) => one.machine === id)
    ?.dues.find(({ targetHours, day, limit }) => targetHours !== null && day !== null && limit === 'hours');
  const facts = gather(pages.books).machines.find((one) => one.machine === id);
  if (machine === undefined || due === undefined || due.day === null || facts === undefined) throw new Error('no due');
  return { outlook, home, machine, due, day: due.day, facts };
}

test('every due date of the machine page opens its reasons, and every reason page is found', async () => {
  const { text } = await pages.get(`/machines/${id}`);
  const links = [...text.matchAll(/href="(\/machines\/bank-tractor\/why\/[a-z0-9-]+)"/g)].map((match) => match[1]);
  expect(links.length).toBeGreaterThan(3);
  for (const link of links) {
    const { status, text: why } = await pages.get(`${link}`);
    expect(status, link).toBe(200);
    expect(why).toContain('The plan says:');
    expect(why).not.toMatch(/NaN|undefined|null|Infinity/);
  }
});

test('the numbers of the reasons are those of the estimate, computed again from the evidence', () => {
  const { outlook, home, machine, due, day, facts } = oilOf();
  const why = explainDue(home, facts, due, outlook.nowMs);
  const hours = why?.byHours;
  if (hours === null || hours === undefined) throw new Error('no hours');
  const estimate = estimateHours(gatherEvidence(machine, facts, home.household.hemisphere), outlook.nowMs);
  if (estimate === null) throw new Error('no estimate');
  const { nowMs } = outlook;
  expect(hours.now).toEqual(outlook.machines.find((one) => one.machine === id)?.hoursNow);
  expect(hours.targetHours).toBe(due.targetHours);
  const sixWeeksMs = 42 * 86_400_000;
  const middle = (atMs: number) => hoursQuantiles(estimate, atMs, [0.5])[0] ?? Number.NaN;
  expect(hours.lastWeeks).toBeCloseTo(middle(nowMs) - middle(nowMs - sixWeeksMs), 6);
  const used = (fromMs: number, toMs: number) => expectedUse(estimate, toMs) - expectedUse(estimate, fromMs);
  expect(hours.nextWeeks).toBeCloseTo(used(nowMs, nowMs + sixWeeksMs), 6);
  expect(hours.untilDue).toBeCloseTo(used(nowMs, endOfDay(day.p50, home.household.zone)), 6);
  // Each supposed reading reaches the limit by its days with the chances that they are named for, and not a day before.
  const { pReachedGiven } = foresee(estimate);
  for (const { hours: read, day: then } of hours.ifRead) {
    if (then === null) throw new Error('beyond ten years');
    const chance = (by: typeof then.p50) =>
      pReachedGiven(read, nowMs, hours.targetHours, endOfDay(by, home.household.zone), due.countedFrom);
    for (const [level, by] of [
      [0.1, then.p10],
      [0.5, then.p50],
      [0.9, then.p90],
    ] as const) {
      expect(chance(by)).toBeGreaterThanOrEqual(level);
      if (by > outlook.today) expect(chance(addDays(by, -2))).toBeLessThan(level);
    }
  }
  const [low, , high] = hours.ifRead;
  expect(low?.day?.p50 ?? '').not.toBe('');
  expect((low?.day?.p50 ?? '') >= (high?.day?.p50 ?? '')).toBe(true);
});

test('a pace that a person supposes is worked out in the open, and nonsense is answered with what would be right', async () => {
  const { outlook, home, due, facts } = oilOf();
  const why = explainDue(home, facts, due, outlook.nowMs);
  if (why?.byHours === null || why === null) throw new Error('no hours');
  const left = why.byHours.targetHours - why.byHours.now.p50;
  const day = dayIfUsed(why, 3);
  expect(daysBetween(outlook.today, day ?? outlook.today)).toBe(Math.ceil((left / 3) * 7));
  const path = `/machines/${id}/why/${due.task}`;
  expect((await pages.get(`${path}?week=3`)).text).toMatch(
    /About [\d.]+\u00a0h are left, and [\d.]+ \/ 3 is [\d.]+ weeks: about /,
  );
  expect((await pages.get(`${path}?week=2,5`)).text).toContain('/ 2.5 is');
  for (const week of ['0', '-3', 'NaN', '1e9', '999', 'much', '%3Cscript%3E']) {
    const { status, text } = await pages.get(`${path}?week=${week}`);
    expect(status).toBe(200);
    expect(text).toContain('is no number of hours a week');
    expect(text).not.toContain('<script>');
  }
  expect((await pages.get(`/machines/${id}/why/no-such-task`)).status).toBe(404);
  expect((await pages.get('/machines/no-such/why/engine-oil')).status).toBe(404);
});

test('a season’s day says which frost it counts from and whose word that is', async () => {
  const outlook = pages.outlook();
  const tasks = pages.books
    .home()
    .machines.flatMap((machine) =>
      machine.tasks.filter(({ season }) => season?.before === 'first-frost').map((task) => ({ machine, task })),
    );
  const seen = tasks.filter(({ machine, task }) =>
    outlook.machines
      .find((one) => one.machine === machine.id)
      ?.dues.some((due) => due.task === task.id && due.calendarDay !== null),
  );
  expect(seen.length).toBeGreaterThan(0);
  for (const { machine, task } of seen) {
    const { text } = await pages.get(`/machines/${machine.id}/why/${task.id}`);
    expect(text, task.id).toContain('The average first frost is reckoned for');
  }
});
