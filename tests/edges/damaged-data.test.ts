import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterEach, beforeAll, expect, test } from 'vitest';
import { builtCommand, endBuilt, removeHome, requireBuilt, stageCommandHome, startBuilt } from '../stage/command.js';
import { startMailServer } from '../stage/mail-server.js';
import { startMosquitto } from '../stage/mosquitto.js';

// A data file damaged in its middle, as a failing card leaves it, with a real SMTP server and a real broker around.
beforeAll(requireBuilt);
const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

const now = '2031-09-01T12:00';
const on = (dir: string, ...argv: string[]) => builtCommand(['--home', dir, '--now', now, ...argv]);

async function start(dir: string) {
  const running = startBuilt(['--home', dir, 'start', '--now', now], { env: { SHEDBELL_PORT: '0' } });
  closers.push(() => endBuilt(running));
  const url = `http://127.0.0.1:${await running.says(/http:\/\/localhost:(\d+)\n/)}`;
  const stop = () => {
    running.child.kill('SIGTERM');
    return running.ended;
  };
  return { ...running, url, stop };
}

async function stage(household = '') {
  const dir = stageCommandHome();
  closers.push(() => removeHome(dir));
  const file = join(dir, 'household.yaml');
  writeFileSync(file, `${readFileSync(file, 'utf8')}${household}`);
  expect(await on(dir, 'reading', 'cider-press', '120')).toMatchObject({ status: 0 });
  mkdirSync(join(dir, 'data', 'backups'));
  const copy = join(dir, 'data', 'backups', 'shedbell-2031-08-31.sqlite');
  expect(await on(dir, 'backup', copy)).toMatchObject({ status: 0 });
  const data = join(dir, 'data', 'shedbell.sqlite');
  return { dir, copy, data, outbox: join(dir, 'data', 'outbox') };
}

/** Rubbish over the middle third of a file. */
function damage(file: string): Buffer {
  const bytes = readFileSync(file);
  bytes.fill(0x5a, Math.floor(bytes.length / 3), Math.floor((2 * bytes.length) / 3));
  writeFileSync(file, bytes);
  return bytes;
}

const letters = (folder: string) =>
  existsSync(folder) ? readdirSync(folder).filter((name) => /data-file-is-damaged/.test(name)) : [];

test('a damaged file is said on every page, on /health and by every way, once; a restore beside it brings all back', async () => {
  const mail = await startMailServer({ security: 'plain', login: null });
  closers.push(() => mail.close());
  const broker = await startMosquitto();
  closers.push(() => broker.remove());
  const heard: string[] = [];
  const guest = await connectAsync(broker.url);
  closers.push(() => guest.endAsync(true));
  guest.on('message', (topic, payload) => heard.push(`${topic} ${payload}`));
  await guest.subscribeAsync(['shedbell/notice', 'shedbell/service']);
  const { dir, copy, data, outbox } = await stage(
    `smtp: { host: 127.0.0.1, port: ${mail.port}, security: plain, from: shed@weircottage.example }\nmqtt: { url: "${broker.url}" }\n`,
  );
  const damaged = damage(data);
  const before = statSync(data).mtimeMs;

  const ill = await start(dir);
  for (const path of ['/', '/machines/cider-press', '/calendar/x.ics']) {
    const answer = await fetch(`${ill.url}${path}`);
    expect(answer.status, path).toBe(503);
    const page = await answer.text();
    expect(page).toContain('The data file is damaged.');
    expect(page).toContain('no reading and no confirmation is taken');
    expect(page).toContain('made on Monday 1 September');
    expect(page).toContain(`shedbell --home ${dir} restore ${copy}`);
  }
  // From elsewhere, where nobody can sign in now, without a path.
  const elsewhere = await fetch(`${ill.url}/`, { headers: { 'X-Forwarded-For': '192.0.2.7' } });
  const said = await elsewhere.text();
  expect(said).toContain('The data file is damaged.');
  expect(said).not.toContain(dir);
  const body = new URLSearchParams({ key: 'some-form-key', hours: '121' });
  expect((await fetch(`${ill.url}/machines/cider-press/reading`, { method: 'POST', body })).status).toBe(503);
  const health = await fetch(`${ill.url}/health`);
  expect(health.status).toBe(503);
  expect(await health.json()).toMatchObject({ status: 'failing', code: 'store-corrupt', signedIn: false });

  await expect.poll(() => mail.arrived.length, { timeout: 20_000 }).toBe(1);
  const [letter] = mail.arrived;
  expect(letter?.to).toEqual(['ada@weircottage.example']);
  expect(letter?.mail.subject).toBe('Weir Cottage: the data file is damaged');
  expect(letter?.mail.text).toContain(`\n    shedbell --home ${dir} restore ${copy}\n`);
  await expect.poll(() => letters(outbox), { timeout: 20_000 }).toHaveLength(2);
  await expect
    .poll(() => heard.filter((one) => one.startsWith('shedbell/notice')), { timeout: 20_000 })
    .toHaveLength(2);
  expect(heard).toContain('shedbell/service damaged');
  expect((await ill.stop()).status).toBe(0);

  // A supervisor starts it again and again: everybody was told.
  const again = await start(dir);
  expect(await (await fetch(again.url)).text()).toContain('The data file is damaged.');
  await expect.poll(() => heard.filter((one) => one === 'shedbell/service damaged')).toHaveLength(2);
  expect(mail.arrived).toHaveLength(1);
  expect(heard.filter((one) => one.startsWith('shedbell/notice'))).toHaveLength(2);
  expect(readFileSync(data).equals(damaged)).toBe(true);
  expect(statSync(data).mtimeMs).toBe(before);

  // The command of the page, while the service stands there.
  const restored = await on(dir, 'restore', copy);
  expect(restored).toMatchObject({ status: 0, err: '' });
  expect(readFileSync(join(dir, 'data/replaced-1/shedbell.sqlite')).equals(damaged)).toBe(true);
  const url = `http://127.0.0.1:${await again.says(/Shedbell for Weir Cottage: http:\/\/localhost:(\d+)\n/)}`;
  expect(await (await fetch(`${url}/machines/cider-press`)).text()).toContain('120');
  expect(await (await fetch(`${url}/health`)).json()).toMatchObject({ code: null, database: 'ok' });
  expect(existsSync(join(dir, 'data', 'told-data-file.json'))).toBe(false);
  await expect.poll(() => heard.at(-1), { timeout: 20_000 }).toBe('shedbell/service online');
  expect((await again.stop()).status).toBe(0);

  // Damaged anew, it is told anew.
  damage(data);
  await start(dir);
  await expect.poll(() => mail.arrived.length, { timeout: 20_000 }).toBe(2);
}, 120_000);

test('a file that was emptied is no new beginning while copies tell of what was in it', async () => {
  const { dir, copy, data } = await stage();
  writeFileSync(data, '');
  const ill = await start(dir);
  expect(await (await fetch(ill.url)).text()).toContain(`restore ${copy}`);
  expect(statSync(data).size).toBe(0);
  expect((await ill.stop()).status).toBe(0);
});

test('a file that is gone is no new beginning either, and what is restored comes back by itself', async () => {
  const { dir, copy, data } = await stage();
  rmSync(data);
  const ill = await start(dir);
  const page = await (await fetch(ill.url)).text();
  expect(page).toContain('the file is not there, but there are copies of what was in it');
  expect(page).toContain('To begin anew instead, move those copies elsewhere');
  expect(page).toContain(`restore ${copy}`);
  expect(existsSync(data)).toBe(false);
  expect(await on(dir, 'restore', copy)).toMatchObject({ status: 0, err: '' });
  const url = `http://127.0.0.1:${await ill.says(/Shedbell for Weir Cottage: http:\/\/localhost:(\d+)\n/)}`;
  expect(await (await fetch(`${url}/machines/cider-press`)).text()).toContain('120');
});

test('without any copy, a start without a data file is a beginning', async () => {
  const { dir, copy, data } = await stage();
  rmSync(data);
  rmSync(copy);
  const begun = await start(dir);
  expect(await (await fetch(`${begun.url}/health`)).json()).toMatchObject({ code: null, database: 'ok' });
});

test('copies from before household.yaml named another folder are found while the disk of that one is gone', async () => {
  const { dir, copy, data } = await stage('backup: { folder: /nowhere/stick }\n');
  damage(data);
  const ill = await start(dir);
  expect(await (await fetch(ill.url)).text()).toContain(`shedbell --home ${dir} restore ${copy}`);
  expect(await on(dir, 'restore', copy)).toMatchObject({ status: 0 });
  await ill.says(/Shedbell for Weir Cottage: http:\/\/localhost:(\d+)\n/);
});

test('where no copy is whole, the page says so and names no file to restore', async () => {
  const { dir, copy, data } = await stage();
  damage(data);
  damage(copy);
  const ill = await start(dir);
  const page = await (await fetch(ill.url)).text();
  expect(page).toContain('No copy that is whole was found in');
  expect(page).toContain('restore FILE');
  expect(page).not.toContain(`restore ${copy}`);
});

test('a mail server that is away hears of it later, also after a restart', async () => {
  const first = await startMailServer({ security: 'plain', login: null, misbehave: { data: 451 } });
  const { dir, data } = await stage(
    `smtp: { host: 127.0.0.1, port: ${first.port}, security: plain, from: shed@weircottage.example }\n`,
  );
  damage(data);
  const ill = await start(dir);
  await ill.says(/"channel":"mail","reason":".*"msg":"word did not go out"/);
  await expect.poll(() => letters(join(dir, 'data', 'outbox')), { timeout: 20_000 }).toHaveLength(2);
  expect((await ill.stop()).status).toBe(0);
  await first.close();
  const second = await startMailServer({ security: 'plain', login: null });
  closers.push(() => second.close());
  const household = join(dir, 'household.yaml');
  writeFileSync(household, readFileSync(household, 'utf8').replace(String(first.port), String(second.port)));
  await start(dir);
  await expect.poll(() => second.arrived.length, { timeout: 20_000 }).toBe(1);
});
