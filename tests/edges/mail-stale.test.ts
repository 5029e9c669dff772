import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { openService } from '../../src/daemon/wire.js';
import { minuteMs, parseInstant, parseZone } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { allLetters } from '../../src/ledger/outbox.js';
import { findClosedPort, startMailServer } from '../stage/mail-server.js';
import { noLog } from '../stage/no-log.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

const zone = parseZone('Europe/Berlin');

/** The whole service over a household with overdue work, and a clock that runs as the test says. */
async function stageService() {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-stale-'));
  closers.push(() => rmSync(dir, { recursive: true, force: true }));
  mkdirSync(join(dir, 'machines'));
  const write = (port: number) =>
    writeFileSync(
      join(dir, 'household.yaml'),
      `name: Birch End
timezone: Europe/Berlin
workingDays: [sat, sun]
people:
  - { id: ana, name: Ana, mail: ana@birchend.example }
smtp: { host: 127.0.0.1, port: ${port}, security: plain, from: shed@birchend.example }
`,
    );
  writeFileSync(
    join(dir, 'machines', 'mower.yaml'),
    `name: Meadow mower
plan: library:ride-on-petrol-mower
since: 2028-05-01
meter: { counts: clock, first: { hours: 300, on: 2031-04-01 } }
expect: { hoursPerYear: 40, season: summer }
`,
  );
  write(await findClosedPort());
  let nowMs = parseInstant('2031-04-04T12:00', zone);
  const load = () => {
    const read = loadHome(dir, {});
    if (read.kind === 'faults') throw new Error(read.faults[0]?.line);
    return read.home;
  };
  const service = openService({ homeDir: dir, home: load(), clock: { nowMs: () => nowMs }, log: noLog });
  closers.push(() => service.close());
  return {
    service,
    moveServer: (port: number) => {
      write(port);
      service.replaceHome(load());
    },
    liveUntil: async (instant: string) => {
      for (const end = parseInstant(instant, zone); nowMs < end; nowMs += 30 * minuteMs) {
        service.turn();
        await service.deliver();
      }
    },
  };
}

test('a mail server that comes back after days gets what is true by then, once, and no call for a day that is over', async () => {
  const { service, moveServer, liveUntil } = await stageService();
  await liveUntil('2031-04-08T12:00');
  const [first, ...others] = allLetters(service.books);
  expect(first).toMatchObject({ state: 'withdrawn', lastWord: 'its day passed before it could go out' });
  const server = await startMailServer({ security: 'plain', login: null });
  closers.push(server.close);
  moveServer(server.port);
  await liveUntil('2031-04-13T12:00');
  const [told, ...more] = server.arrived.map(({ mail }) => mail);
  // What was to be bought for the Saturday to come still holds; the call for the Saturday before does not, and is said anew.
  expect(told?.messageId).toBe(others[0]?.messageId);
  expect(told?.subject).toContain('for Sat 12 April');
  expect(more.map(({ subject }) => subject)).toEqual(
    allLetters(service.books)
      .slice(2)
      .map(({ letter }) => letter.subject),
  );
  expect(more[0]?.subject).toContain('Sat 12 April');
  const saidOn = server.arrived.map(({ mail }) => mail.date?.toISOString().slice(0, 10));
  expect(new Set(saidOn).size).toBe(saidOn.length);
});
