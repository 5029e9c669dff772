import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterEach, beforeAll, expect, test } from 'vitest';
import { hourMs, minuteMs } from '../../src/domain/day.js';
import { openStore } from '../../src/store/open.js';
import { builtCommand, endBuilt, removeHome, requireBuilt, stageCommandHome, startBuilt } from '../stage/command.js';
import { startMailServer } from '../stage/mail-server.js';
import { startMosquitto } from '../stage/mosquitto.js';
import { fill, mountFailing, mountSmall, remount, whyNoFailingDisk, whyNoMounts } from '../stage/real-disk.js';
import { startWatched } from '../stage/watched-service.js';

// Disks that are really full, and really read-only, below the data of a service.
beforeAll(requireBuilt);
const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

const noMounts = whyNoMounts();
const noFailing = whyNoFailingDisk();
const named = (name: string, why: string | null) => (why === null ? name : `${name} (left out: ${why})`);

test.skipIf(noMounts !== null)(
  named('a full disk refuses what is entered in plain words, and all goes on once there is room', noMounts),
  async () => {
    const broker = await startMosquitto();
    closers.push(() => broker.remove());
    const sensor = await connectAsync(broker.url);
    closers.push(() => sensor.endAsync(true));
    const service = await startWatched(closers, `mqtt: { url: "${broker.url}" }\n`, (data) =>
      mountSmall(data, '24m', closers),
    );
    const { dir, data, post, page, pass, wake } = service;
    // Nothing here is read through the service: what stands on the disk counts.
    const onDisk = (query: string) => {
      const store = openStore(data);
      try {
        return store.sql.row(query);
      } finally {
        store.close();
      }
    };
    let seconds = 100;
    const speak = async () => {
      seconds += 5;
      await sensor.publishAsync('splitter/run', String(seconds), { qos: 1 });
    };
    const counted = async () => {
      await wake();
      return Number(onDisk('SELECT run_seconds AS n FROM feed_totals')?.n ?? -1);
    };
    // The broker keeps nothing for a service that it does not know yet.
    await broker.logged(/Sending SUBACK to shedbell-/);
    await speak();
    await speak();
    await expect.poll(counted, { timeout: 20_000 }).toBe(5);
    await pass(hourMs);

    const makeRoom = fill(join(dir, 'data'));
    const acknowledged: string[] = [];
    let refusal = '';
    for (let n = 0; n < 500 && refusal === ''; n += 1) {
      const answer = await post('/machines/log-splitter/noticed', { key: `full-disk-${n}`, text: `a drip, no. ${n}` });
      if (answer.status === 303) acknowledged.push(`a drip, no. ${n}`);
      else {
        expect(answer.status).toBe(503);
        refusal = await answer.text();
      }
    }
    expect(refusal).toContain('No room is left where the data are kept');
    expect(refusal).toContain('Make room on the disk, then try again. Nothing was half-written.');
    const at = new Date(service.nowMs() - hourMs).toISOString();
    const reading = { key: 'full-disk-reading', hours: '180.5', at };
    const refused = await post('/machines/log-splitter/reading', reading);
    expect(await refused.text()).toContain('No room is left where the data are kept');
    const sheet = /\/visits\/([a-z0-9-]+)\/sheet/.exec(await page('/'))?.[1] ?? '';
    const task = sheet.replace(/^log-splitter-/, '').replace(/-\d+$/, '');
    const confirmation = {
      key: 'full-disk-done',
      machine: 'log-splitter',
      held: task,
      task,
      day: '2027-05-03',
      note: 'done on a full disk',
      go: 'record',
    };
    const notDone = await post(`/visits/${sheet}/sheet`, confirmation);
    expect(await notDone.text()).toContain('No room is left where the data are kept');
    expect(await page('/')).toContain('the disk of the data is full');
    expect(await service.health()).toMatchObject({ status: 'failing', database: 'failing' });
    // What the sensor says meanwhile is not lost.
    for (let n = 0; n < 4; n += 1) await speak();
    await pass(hourMs);
    await expect.poll(() => service.letters('nothing can be written down'), { timeout: 20_000 }).toHaveLength(1);

    makeRoom();
    await wake();
    expect(await service.health()).toMatchObject({ database: 'ok' });
    expect((await post('/machines/log-splitter/reading', reading)).status).toBe(303);
    expect((await post(`/visits/${sheet}/sheet`, confirmation)).status).toBe(303);
    await speak();
    await expect.poll(counted, { timeout: 30_000 }).toBe(seconds - 105);
    expect(onDisk('PRAGMA integrity_check')?.integrity_check).toBe('ok');
    expect(onDisk('SELECT count(*) AS n FROM noticed')?.n).toBe(acknowledged.length);
    expect(onDisk(`SELECT count(*) AS n FROM readings WHERE hours = 180.5`)?.n).toBe(1);
    expect(onDisk(`SELECT count(*) AS n FROM records WHERE note = 'done on a full disk'`)?.n).toBe(1);
    expect(service.letters('nothing can be written down')).toHaveLength(1);
  },
  120_000,
);

test.skipIf(noMounts !== null)(
  named('a command on a full disk says that there is no room, also where nothing else has the data open', noMounts),
  async () => {
    const dir = stageCommandHome();
    closers.push(() => removeHome(dir));
    mkdirSync(join(dir, 'data'));
    mountSmall(join(dir, 'data'), '4m', closers);
    const reading = (hours: string, at: string) =>
      builtCommand(['--home', dir, '--now', at, 'reading', 'cider-press', hours, '--confirm']);
    expect(await reading('120', '2031-09-01T12:00')).toMatchObject({ status: 0 });
    const makeRoom = fill(join(dir, 'data'));
    const refused = await reading('121', '2031-09-04T12:00');
    expect(refused).toMatchObject({ status: 2, out: '' });
    expect(refused.err).toContain('No room is left where the data are kept');
    expect(refused.err).toContain('Make room on the disk, then try again.');
    makeRoom();
    expect(await reading('121', '2031-09-04T12:00')).toMatchObject({ status: 0 });
  },
);

test.skipIf(noMounts !== null)(
  named(
    'start on a read-only or a full disk stays up, says what to do by every way, once, and goes on by itself',
    noMounts,
  ),
  async () => {
    const mail = await startMailServer({ security: 'plain', login: null });
    closers.push(() => mail.close());
    const broker = await startMosquitto();
    closers.push(() => broker.remove());
    const heard: string[] = [];
    const guest = await connectAsync(broker.url);
    closers.push(() => guest.endAsync(true));
    guest.on('message', (topic, payload) => heard.push(`${topic} ${payload}`));
    await guest.subscribeAsync(['shedbell/notice', 'shedbell/service']);
    const notices = () => heard.filter((one) => one.startsWith('shedbell/notice')).length;
    const staged = stageCommandHome();
    closers.push(() => removeHome(staged));
    const file = join(staged, 'household.yaml');
    writeFileSync(
      file,
      `${readFileSync(file, 'utf8')}smtp: { host: 127.0.0.1, port: ${mail.port}, security: plain, from: shed@weircottage.example }\nmqtt: { url: "${broker.url}" }\n`,
    );
    const now = '2031-09-01T12:00';
    expect(await builtCommand(['--home', staged, 'reading', 'cider-press', '120', '--now', now])).toMatchObject({
      status: 0,
    });
    const disk = stageCommandHome();
    closers.push(() => removeHome(disk));
    mountSmall(disk, '24m', closers);
    const dir = join(disk, 'shed');
    cpSync(staged, dir, { recursive: true });
    const data = join(dir, 'data', 'shedbell.sqlite');
    const start = async () => {
      const running = startBuilt(['--home', dir, 'start', '--now', now], { env: { SHEDBELL_PORT: '0' } });
      closers.push(() => endBuilt(running));
      const url = `http://127.0.0.1:${await running.says(/http:\/\/localhost:(\d+)\n/)}`;
      const stop = () => {
        running.child.kill('SIGTERM');
        return running.ended;
      };
      /** The address once it started by itself. */
      const goesOn = async () =>
        `http://127.0.0.1:${await running.says(/Shedbell for Weir Cottage: http:\/\/localhost:(\d+)\n/)}`;
      return { ...running, url, stop, goesOn };
    };

    remount(disk, 'remount,ro');
    const readOnly = await start();
    const answer = await fetch(`${readOnly.url}/machines/cider-press`);
    expect(answer.status).toBe(503);
    const page = await answer.text();
    expect(page).toContain('may be read but not written, so the service stands still');
    expect(page).toContain(`The data are in ${dir}/data.`);
    expect(page).toContain('mount it so that it may be written');
    const elsewhere = await fetch(readOnly.url, { headers: { 'X-Forwarded-For': '192.0.2.7' } });
    expect(await elsewhere.text()).not.toContain(dir);
    const health = await fetch(`${readOnly.url}/health`);
    expect(health.status).toBe(503);
    expect(await health.json()).toMatchObject({ status: 'failing', code: 'store-read-only' });
    await expect.poll(() => mail.arrived.length, { timeout: 20_000 }).toBe(1);
    expect(mail.arrived[0]?.mail.subject).toBe('Weir Cottage: the service stands still');
    expect(mail.arrived[0]?.mail.text).toContain('start the computer anew');
    // Ada and Rui; the outbox folder takes no file.
    await expect.poll(notices, { timeout: 20_000 }).toBe(2);
    await expect.poll(() => heard, { timeout: 20_000 }).toContain('shedbell/service disk');
    remount(disk, 'remount,rw');
    const whole = await readOnly.goesOn();
    expect(await (await fetch(`${whole}/machines/cider-press`)).text()).toContain('120');
    await expect.poll(() => heard.at(-1), { timeout: 20_000 }).toBe('shedbell/service online');
    expect((await readOnly.stop()).status).toBe(0);
    expect([mail.arrived.length, notices()]).toEqual([1, 2]);

    // A word that was still under way as the disk took writing again may have been noted: the same day it is not said twice.
    rmSync(join(dir, 'data', 'told-disk.json'), { force: true });
    const makeRoom = fill(disk);
    const full = await start();
    expect(await (await fetch(full.url)).text()).toMatch(/The disk of the data is full\.[\s\S]*at least 8 MiB/);
    await expect.poll(() => mail.arrived.length, { timeout: 20_000 }).toBe(2);
    makeRoom();
    await full.goesOn();
    expect((await full.stop()).status).toBe(0);

    // Too little room for a start, but enough to note who was told: a supervisor starts it again and again.
    rmSync(join(dir, 'data', 'told-disk.json'), { force: true });
    writeFileSync(join(disk, 'ballast'), Buffer.alloc(18 * 1024 * 1024, 1));
    const narrow = await start();
    await expect.poll(() => mail.arrived.length, { timeout: 20_000 }).toBe(3);
    await expect.poll(notices, { timeout: 20_000 }).toBe(6);
    expect((await narrow.stop()).status).toBe(0);
    const again = await start();
    expect(await (await fetch(again.url)).text()).toContain('The disk of the data is full.');
    await again.stop();
    expect([mail.arrived.length, notices()]).toEqual([3, 6]);
    const kept = openStore(data);
    closers.push(() => kept.close());
    expect(kept.sql.row('SELECT count(*) AS n FROM readings')?.n).toBe(1);
  },
  120_000,
);

test.skipIf(noFailing !== null)(
  named(
    'a disk that turns read-only under a running service is said on the page, on /health and by mail, once',
    noFailing,
  ),
  async () => {
    let fail = () => {};
    const service = await startWatched(closers, '', (data) => {
      fail = mountFailing(data, closers);
    });
    const { pass, page, post } = service;
    await pass(hourMs);
    expect(await service.health()).toMatchObject({ database: 'ok' });
    fail();
    const answer = await post('/machines/log-splitter/noticed', { key: 'on-a-dead-card', text: 'a drip' });
    expect(answer.status).toBe(503);
    expect(await answer.text()).toMatch(/may be read but not written|did not read or write/);
    expect(await page('/')).toContain('the disk of the data has become read-only');
    expect(await service.health()).toMatchObject({ status: 'failing', database: 'failing' });
    await pass(60 * minuteMs);
    await expect.poll(() => service.letters('nothing can be written down'), { timeout: 20_000 }).toHaveLength(1);
    expect(service.letters('nothing can be written down')[0]?.mail.text).toContain('has become read-only');
    await pass(5 * hourMs);
    expect(service.letters('nothing can be written down')).toHaveLength(1);
  },
  120_000,
);
