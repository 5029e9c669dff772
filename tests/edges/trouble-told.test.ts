import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { simpleParser } from 'mailparser';
import { afterEach, expect, test } from 'vitest';
import { type Serving, serve } from '../../src/daemon/serve.js';
import { openService } from '../../src/daemon/wire.js';
import { dayMs, hourMs, minuteMs, parseDay, parseInstant, parseZone } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { initHome } from '../../src/home/write-example.js';
import { noLog } from '../stage/no-log.js';

let serving: Serving | null = null;
afterEach(async () => {
  await serving?.close();
  serving = null;
});

test('a home folder that cannot be read any more is told of once it lasts, once, and again only weeks later', async () => {
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-trouble-')), 'shed');
  const zone = parseZone('Europe/Lisbon');
  initHome(dir, { today: parseDay('2027-04-09'), zone });
  const read = loadHome(dir, {});
  if (read.kind === 'faults') throw new Error(read.faults[0]?.line);
  let nowMs = parseInstant('2027-05-03T09:00:00Z', parseZone('UTC'));
  const service = openService({ homeDir: dir, home: read.home, clock: { nowMs: () => nowMs }, log: noLog });
  serving = await serve({ service, homeDir: dir, host: '127.0.0.1', port: 0, log: noLog, monotonicMs: () => nowMs });
  const pass = async (ms: number) => {
    for (const untilMs = nowMs + ms; nowMs < untilMs; nowMs += 10 * minuteMs) await serving?.wake();
  };
  const letters = async () => {
    const folder = join(dir, 'data/outbox');
    const files = existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.eml')) : [];
    return (await Promise.all(files.map((name) => simpleParser(readFileSync(join(folder, name)))))).filter(({ text }) =>
      text?.includes('The home folder changed but has an error'),
    );
  };
  await pass(hourMs);
  const household = readFileSync(join(dir, 'household.yaml'), 'utf8');
  writeFileSync(join(dir, 'household.yaml'), `${household}\nevning: "19:00"\n`);
  await pass(2 * hourMs);
  expect(await letters()).toHaveLength(0);
  await pass(8 * hourMs);
  const [told, ...more] = await letters();
  expect(more).toEqual([]);
  expect(told?.subject).toContain('Our household: the home folder changed');
  expect(told?.text).toContain('evning');
  expect(told?.text).toContain('Until this is mended, reminders may come late or not at all.');
  await pass(2 * dayMs);
  expect(await letters()).toHaveLength(1);
  writeFileSync(join(dir, 'household.yaml'), household);
  await pass(dayMs);
  expect(await letters()).toHaveLength(1);
}, 60_000);
