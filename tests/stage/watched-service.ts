import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { serve } from '../../src/daemon/serve.js';
import { openService } from '../../src/daemon/wire.js';
import { minuteMs, parseInstant, parseZone } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { startMailServer } from './mail-server.js';
import { noLog } from './no-log.js';

const splitter = `name: Log splitter
plan: library:small-petrol-engine-tool
since: 2026-01-01
meter: { counts: clock, first: { hours: 100, on: 2026-01-01 } }
has: [four-stroke]
expect: { hoursPerYear: 60, season: even }
last: fine-as-bought
`;

/** A service on a driven clock with a machine that has an hour meter and a sensor, and a real mail server to watch it by.
 *  @param closers    what is to be closed after the test goes here
 *  @param household  further lines of household.yaml
 *  @param mount      called with the data folder before anything is written in it */
export async function startWatched(
  closers: (() => unknown)[],
  household: string,
  mount: (data: string) => void = () => {},
) {
  const mail = await startMailServer({ security: 'plain', login: null });
  closers.push(() => mail.close());
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-watched-'));
  mkdirSync(join(dir, 'machines'));
  mkdirSync(join(dir, 'data'));
  mount(join(dir, 'data'));
  const smtp = `smtp: { host: 127.0.0.1, port: ${mail.port}, security: plain, from: shed@weircottage.example }`;
  writeFileSync(
    join(dir, 'household.yaml'),
    `name: Weir Cottage\ntimezone: Europe/Lisbon\npeople: [{ id: ada, name: Ada, mail: ada@weircottage.example }]\n${smtp}\n${household}`,
  );
  const feed = household.includes('mqtt:') ? 'feed: { kind: run-seconds, topic: splitter/run }\n' : '';
  writeFileSync(join(dir, 'machines', 'log-splitter.yaml'), `${splitter}${feed}`);
  const read = loadHome(dir, {});
  if (read.kind === 'faults') throw new Error(read.faults[0]?.line);
  const clock = { nowMs: parseInstant('2027-05-03T09:00:00Z', parseZone('UTC')) };
  const service = openService({ homeDir: dir, home: read.home, clock: { nowMs: () => clock.nowMs }, log: noLog });
  const serving = await serve({
    service,
    homeDir: dir,
    host: '127.0.0.1',
    port: 0,
    log: noLog,
    monotonicMs: () => clock.nowMs,
  });
  closers.push(() => serving.close());
  const url = `http://127.0.0.1:${serving.port}`;
  return {
    dir,
    url,
    data: join(dir, 'data', 'shedbell.sqlite'),
    wake: () => serving.wake(),
    async pass(ms: number) {
      for (const untilMs = clock.nowMs + ms; clock.nowMs < untilMs; clock.nowMs += 30 * minuteMs) await serving.wake();
    },
    /** Letters with such an end of their subject. */
    letters: (end: string) => mail.arrived.filter((one) => one.mail.subject?.endsWith(end)),
    told: () => mail.arrived.filter((one) => one.mail.subject?.endsWith('the data file is damaged')),
    page: async (path = '/') => (await fetch(`${url}${path}`)).text(),
    health: async () => (await fetch(`${url}/health`)).json(),
    post: (path: string, fields: Readonly<Record<string, string>>) =>
      fetch(`${url}${path}`, { method: 'POST', body: new URLSearchParams(fields), redirect: 'manual' }),
    nowMs: () => clock.nowMs,
  };
}
