import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { simpleParser } from 'mailparser';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { runInit } from '../../src/cli/init.js';
import { type Serving, serve } from '../../src/daemon/serve.js';
import { openService, type Service } from '../../src/daemon/wire.js';
import { dayMs, parseInstant, parseZone } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { gather } from '../../src/ledger/gather.js';
import { simulatedClock } from '../../src/rehearsal/simulated-clock.js';
import { formOf, sendForm } from '../stage/forms.js';
import { noLog } from '../stage/no-log.js';

// The whole road, as an owner walks it: init, start, a reading, time, the parts, the work, the tap, the record, the next due.
const zone = parseZone('Europe/Dublin');
const folder = mkdtempSync(join(tmpdir(), 'shedbell-first-year-'));
const dir = join(folder, 'shed');
const clock = simulatedClock(parseInstant('2031-03-03T12:00Z', zone));
let service: Service;
let serving: Serving;
let site = '';

async function start() {
  const loaded = loadHome(dir);
  if (loaded.kind !== 'home') throw new Error(loaded.faults.map((f) => f.line).join('\n'));
  service = openService({ homeDir: dir, home: loaded.home, clock, log: noLog });
  serving = await serve({ service, homeDir: dir, host: '127.0.0.1', port: 0, log: noLog });
  site = `http://127.0.0.1:${serving.port}`;
}

function letters() {
  const outbox = join(dir, 'data', 'outbox');
  if (!existsSync(outbox)) return [];
  return readdirSync(outbox)
    .filter((name) => name.endsWith('.eml'))
    .sort()
    .map((name) => readFileSync(join(outbox, name)));
}

/** Lets days pass, waking the service as its minute ticker would, until a letter's subject fits. */
async function waitForLetter(subject: RegExp, mostDays: number) {
  for (let hours = 0; hours <= mostDays * 24; hours += 3) {
    for (const raw of letters()) {
      const letter = await simpleParser(raw);
      if (subject.test(letter.subject ?? '')) return letter;
    }
    clock.set(clock.nowMs() + dayMs / 8);
    await serving.wake();
  }
  throw new Error(`no letter ${subject} within ${mostDays} days`);
}

const dueOfOil = () => service.latest().machines[0]?.dues.find((d) => d.task === 'engine-oil');

async function enter(hours: string) {
  const form = formOf(await (await fetch(`${site}/machines/press-tractor/reading`)).text(), 'hours');
  const answer = await sendForm(site, form, { hours });
  expect(answer.status).toBeLessThan(400);
  return answer;
}

beforeAll(async () => {
  const silent = { line: () => {}, error: () => {} };
  expect(runInit(dir, silent)).toBe(0);
  rmSync(join(dir, 'machines'), { recursive: true });
  mkdirSync(join(dir, 'machines'));
  mkdirSync(join(dir, 'plans'), { recursive: true });
  writeFileSync(
    join(dir, 'household.yaml'),
    'name: Quarry Lane\ntimezone: Europe/Dublin\npeople:\n  - { id: nell, name: Nell, mail: nell@quarrylane.example }\n',
  );
  writeFileSync(
    join(dir, 'plans', 'press-tractor.yaml'),
    `title: Press tractor
source: common practice, check your manual
tasks:
  - id: engine-oil
    title: Change engine oil and filter
    every: { hours: 100, months: 36 }
    tolerance: { lateHours: 10 }
    minutes: 40
    steps: [{ do: Drain while warm, where: left side }]
    parts: [{ name: engine oil filter, quantity: 1, leadDays: 7 }]
    cautions: [hot-oil]
    source: common practice, check your manual
`,
  );
  writeFileSync(
    join(dir, 'machines', 'press-tractor.yaml'),
    `name: Press tractor
plan: press-tractor
since: 2031-01-01
meter: { counts: clock, first: { hours: 400, on: 2031-01-01 } }
expect: { hoursPerYear: 180, season: even }
last: { engine-oil: { hours: 400, day: 2031-01-01 } }
`,
  );
  await start();
});

afterAll(async () => {
  await serving.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('the first year', () => {
  test('a reading entered on the page moves the due date and narrows its span', async () => {
    const before = dueOfOil()?.day;
    await enter('436');
    await serving.wake();
    const after = dueOfOil()?.day;
    expect(service.latest().machines[0]?.hoursNow?.p50).toBeCloseTo(436, 1);
    expect(after?.p50).not.toBe(before?.p50);
    const width = (s: typeof before) => (s === undefined || s === null ? 0 : Date.parse(s.p90) - Date.parse(s.p10));
    expect(width(after)).toBeLessThan(width(before));
  });

  test('the parts notice comes while the parts can still arrive', async () => {
    const letter = await waitForLetter(/: buy /i, 200);
    expect(letter.text).toContain('engine oil filter');
    expect(letter.to).toMatchObject({ value: [{ address: 'nell@quarrylane.example' }] });
  });

  test('a restart loses nothing and says nothing twice', async () => {
    const before = letters().length;
    const visit = service.latest().visits[0]?.id;
    await serving.close();
    await start();
    await serving.wake();
    expect(letters()).toHaveLength(before);
    expect(service.latest().visits[0]?.id).toBe(visit);
  });

  test('the work notice names the day, and its link only shows until it is confirmed', async () => {
    const letter = await waitForLetter(/^Press tractor: (change )?engine oil/i, 200);
    const link = /http:\/\/localhost:\d+(\/v\/[\w.-]+)/.exec(letter.text ?? '')?.[1] ?? '';
    expect(link).not.toBe('');
    const due = dueOfOil()?.day;
    for (let i = 0; i < 3; i += 1) expect((await fetch(`${site}${link}`)).status).toBe(200);
    expect((await fetch(`${site}${link}`, { method: 'HEAD' })).status).toBe(200);
    expect(dueOfOil()?.lastDay).toBe('2031-01-01');

    clock.set(clock.nowMs() + dayMs);
    const hours = ((service.latest().machines[0]?.hoursNow?.p50 ?? 0) + 0.2).toFixed(1);
    const form = formOf(await (await fetch(`${site}${link}`)).text(), 'day');
    const answer = await sendForm(site, form, { hours });
    expect(answer.status).toBeLessThan(400);
    const done = dueOfOil();
    expect(done?.lastHours).toBeCloseTo(Number(hours), 1);
    expect(done?.targetHours).toBeCloseTo(Number(hours) + 100, 1);
    expect(String(done?.day?.p50) > String(due?.p50)).toBe(true);

    // The same tap again is the same record.
    expect((await sendForm(site, form, { hours })).status).toBeLessThan(400);
    expect(dueOfOil()?.cycle).toBe(1);
    expect(gather(service.books).machines[0]?.records).toHaveLength(1);
  });

  test('after the record nothing more is said about that visit', async () => {
    const before = letters().length;
    for (let i = 0; i < 10; i += 1) {
      clock.set(clock.nowMs() + dayMs);
      await serving.wake();
    }
    expect(letters()).toHaveLength(before);
  });
});
