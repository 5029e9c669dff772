import { once } from 'node:events';
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { connect, createServer, type Socket } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeAll, describe, expect, test } from 'vitest';
import {
  builtCommand,
  endBuilt,
  type Running,
  removeHome,
  requireBuilt,
  stageCommandHome,
  startBuilt,
} from '../stage/command.js';

beforeAll(requireBuilt);

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

function stage(over: Readonly<Record<string, string | null>> = {}): string {
  const dir = stageCommandHome(over);
  closers.push(() => removeHome(dir));
  return dir;
}

/** The service on a free port of this computer, in the autumn of the staged home. */
async function start(dir: string, ...options: string[]) {
  const running: Running = startBuilt(['--home', dir, 'start', '--now', '2031-09-01T12:00', ...options], {
    env: { SHEDBELL_PORT: '0' },
  });
  closers.push(() => endBuilt(running));
  const port = Number(await running.says(/http:\/\/localhost:(\d+)\n/));
  return {
    ...running,
    port,
    page: async (path: string) => (await fetch(`http://127.0.0.1:${port}${path}`)).text(),
    async stop(signal: NodeJS.Signals = 'SIGTERM') {
      running.child.kill(signal);
      return running.ended;
    },
  };
}

const on = (dir: string, ...argv: string[]) => builtCommand(['--home', dir, '--now', '2031-09-01T18:00', ...argv]);
/** A server that takes connections and never says a word. */
async function silent() {
  const sockets: Socket[] = [];
  let answered = () => {};
  const called = new Promise<void>((done) => {
    answered = done;
  });
  const server = createServer((socket) => {
    socket.on('error', () => {});
    sockets.push(socket);
    answered();
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  const hangUp = () => {
    for (const socket of sockets) socket.destroy();
  };
  closers.push(() => {
    hangUp();
    return new Promise((done) => server.close(done));
  });
  const address = server.address();
  const port = address !== null && typeof address === 'object' ? address.port : 0;
  return { port, called, calls: () => sockets.length, hangUp };
}

const oneLine = /^[^\n]+\n$/;

describe('start', () => {
  test('refuses a day years ahead, and a meter change that its readings contradict, in one line each', async () => {
    const late = stage();
    const machine = join(late, 'machines', 'cider-press.yaml');
    writeFileSync(machine, readFileSync(machine, 'utf8').replace('since: 2031-01-01', 'since: 2062-01-01'));
    const ahead = await on(late, 'start');
    expect(ahead).toMatchObject({ status: 2, out: '', err: expect.stringMatching(oneLine) });
    expect(ahead.err).toContain('cider-press.yaml:3:8: This day lies years ahead: today is 2031-09-01');

    const changed = stage();
    expect(await on(changed, 'reading', 'cider-press', '120', '--at', '2031-05-04')).toMatchObject({ status: 0 });
    const file = join(changed, 'machines', 'cider-press.yaml');
    const replaced = 'first: { hours: 100, on: 2031-01-01 }, replaced: [{ on: 2031-06-01, last: 110 }]';
    writeFileSync(file, readFileSync(file, 'utf8').replace('first: { hours: 100, on: 2031-01-01 }', replaced));
    const told = await on(changed, 'start');
    expect(told).toMatchObject({ status: 2, out: '', err: expect.stringMatching(oneLine) });
    expect(told.err).toContain('The old meter cannot have stopped here: on 2031-05-04 it was read at 120 h');
    expect(await on(changed, 'check')).toMatchObject({ status: 2, err: told.err });
  });

  test('comes back with the settings from before a slip that was made while it was down, and says so', async () => {
    const dir = stage();
    await (await start(dir)).stop();
    const file = join(dir, 'machines', 'cider-press.yaml');
    const right = readFileSync(file, 'utf8');
    writeFileSync(file, right.replace('plan: cider-press', 'plann: cider-press'));
    writeFileSync(join(dir, 'household.yaml'), 'name: [Weir Cottage\n');

    const service = await start(dir);
    const page = await service.page('/');
    expect(page).toContain('Cider press');
    expect(page).toMatch(/settings before the change stay in use: .*household\.yaml:\d/);
    const health = await fetch(`http://127.0.0.1:${service.port}/health`);
    expect(await health.json()).toMatchObject({ problems: expect.toSatisfy((count: number) => count > 0) });
    const { err } = await service.stop();
    expect(err).toMatch(/^The settings from before the last change are in use: [^\n]*household\.yaml:\d/m);

    // What it came back with is kept for as long as the slip stands there.
    expect(await (await start(dir)).page('/')).toContain('Cider press');
  });

  test('where the settings kept from before cannot be used either, a service that ran stays up, tells, and goes on once they are right', async () => {
    const dir = stage();
    await (await start(dir)).stop();
    const file = join(dir, 'machines', 'cider-press.yaml');
    const right = readFileSync(file, 'utf8');
    writeFileSync(file, right.replace('plan: cider-press', 'plann: cider-press'));
    writeFileSync(join(dir, 'data', 'settings-in-use', 'machines', 'cider-press.yaml'), '');

    const service = await start(dir);
    const answer = await fetch(`http://127.0.0.1:${service.port}/`);
    expect(answer.status).toBe(503);
    const page = await answer.text();
    expect(page).toContain('The settings have an error.');
    expect(page).toMatch(/cider-press\.yaml:\d/);
    expect(page).toContain(`shedbell --home ${dir} check`);
    const health = await fetch(`http://127.0.0.1:${service.port}/health`);
    expect(await health.json()).toMatchObject({ status: 'failing', code: 'settings-unusable' });
    // Whose household.yaml is in order, everybody in it.
    const letters = () =>
      existsSync(join(dir, 'data', 'outbox'))
        ? readdirSync(join(dir, 'data', 'outbox')).filter((name) => /the-service-stands-still/.test(name))
        : [];
    await expect.poll(letters, { timeout: 20_000 }).toHaveLength(2);

    writeFileSync(file, right);
    await service.says(/Shedbell for Weir Cottage: http:\/\/localhost:(\d+)\n/);
    expect(existsSync(join(dir, 'data', 'told-settings.json'))).toBe(false);
    await service.stop();

    // With nothing left to read in household.yaml either, the page at least says it.
    for (const folder of [dir, join(dir, 'data', 'settings-in-use')])
      writeFileSync(join(folder, 'household.yaml'), 'name: [Weir Cottage\n');
    expect(await (await start(dir)).page('/')).toMatch(/household\.yaml:\d/);
  }, 60_000);

  test('says where the page is, and whether links open elsewhere, by the port that it is on', async () => {
    const service = await start(stage());
    expect(await service.page('/')).toContain('Cider press');
    expect(JSON.parse(await service.page('/health'))).toBeTypeOf('object');
    const { out } = await service.stop();
    const words = out.split('\n').filter((line) => !line.startsWith('{'));
    expect(words[0]).toBe(`Shedbell for Weir Cottage: http://localhost:${service.port}`);
    expect(words.join(' ')).toContain('open on this computer only');
    expect(words.join(' ')).not.toContain(':8377');
  });

  test.each(['SIGTERM', 'SIGINT'] as const)(
    '%s ends it cleanly: status 0, lock given back, nothing left in the log of the store',
    async (signal) => {
      const dir = stage();
      const service = await start(dir);
      expect(await on(dir, 'reading', 'cider-press', '146')).toMatchObject({ status: 0 });
      const { status, err } = await service.stop(signal);
      expect({ status, err }).toEqual({ status: 0, err: '' });
      const wal = join(dir, 'data', 'shedbell.sqlite-wal');
      expect(existsSync(wal) ? statSync(wal).size : 0).toBe(0);
      expect(existsSync(join(dir, 'data', 'start.pid'))).toBe(false);
      expect(JSON.parse((await on(dir, 'status', '--json')).out).machines[0].lastReading.hours).toBe(146);
      await (await start(dir)).stop();
    },
  );

  test('a browser that keeps its connection open, or never finishes its request, does not hold it up', async () => {
    const service = await start(stage());
    const open = async (text: string): Promise<Socket> => {
      const socket = connect(service.port, '127.0.0.1');
      socket.on('error', () => {});
      closers.push(() => socket.destroy());
      await once(socket, 'connect');
      if (text !== '') socket.write(text);
      return socket;
    };
    await open('');
    await open('GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: ');
    const kept = await open(
      `GET /health HTTP/1.1\r\nHost: localhost:${service.port}\r\nConnection: keep-alive\r\n\r\n`,
    );
    await once(kept, 'data');
    expect(await service.stop()).toMatchObject({ status: 0, err: '' });
  }, 15_000);

  test('a mail server and a broker that take a connection and say nothing do not keep the page shut, nor hold up the end', async () => {
    const mail = await silent();
    const broker = await silent();
    const dir = stage({
      'household.yaml': `name: Weir Cottage
timezone: Europe/Lisbon
smtp: { host: 127.0.0.1, port: ${mail.port}, security: plain, from: shed@weircottage.example }
mqtt: { url: "mqtt://127.0.0.1:${broker.port}" }
people:
  - { id: ada, name: Ada, mail: ada@weircottage.example }
  - { id: rui, name: Rui, mail: rui@weircottage.example }
`,
    });
    // The evening before a working day, with work that is overdue: there is a letter to each of the two.
    const service = await start(dir, '--now', '2031-09-05T18:40');
    await Promise.all([mail.called, broker.called]);
    expect(await service.page('/')).toContain('Cider press');
    service.child.kill('SIGTERM');
    await service.says(/"msg":"stopping"/);
    mail.hangUp();
    const { status, out, err } = await service.ended;
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(out.match(/"a message was written"/g)?.length).toBeGreaterThan(1);
    // The letter under way was the last one to be tried.
    expect(mail.calls()).toBe(1);
    expect(broker.calls()).toBe(1);
  });

  test('a second one on the same folder ends with one line that names the first, whatever its port', async () => {
    const dir = stage();
    const service = await start(dir);
    const second = await builtCommand(['--home', dir, '--now', '2031-09-01T18:00', 'start'], {
      env: { SHEDBELL_PORT: '0' },
    });
    expect(second).toMatchObject({ status: 1, out: '', err: expect.stringMatching(oneLine) });
    expect(second.err).toContain(`process ${service.child.pid}`);
    expect(await service.page('/')).toContain('Cider press');
    expect((await service.stop()).status).toBe(0);
  });

  test('a busy port exits 1 with one line, and leaves the folder free for the next', async () => {
    const dir = stage();
    const taken = createServer().listen(0, '127.0.0.1');
    await once(taken, 'listening');
    closers.push(() => new Promise((done) => taken.close(done)));
    const address = taken.address();
    const port = address !== null && typeof address === 'object' ? String(address.port) : '';
    const busy = await builtCommand(['--home', dir, '--now', '2031-09-01T18:00', 'start'], {
      env: { SHEDBELL_PORT: port },
    });
    expect(busy).toMatchObject({ status: 1, out: '', err: expect.stringMatching(oneLine) });
    expect(busy.err).toContain(`Port ${port} is taken`);
    await (await start(dir)).stop();
  });

  test('household.yaml names the port where SHEDBELL_PORT does not', async () => {
    const taken = createServer().listen(0, '127.0.0.1');
    await once(taken, 'listening');
    closers.push(() => new Promise((done) => taken.close(done)));
    const address = taken.address();
    const port = address !== null && typeof address === 'object' ? address.port : 0;
    const dir = stage({
      'household.yaml': `name: Weir Cottage\ntimezone: Europe/Lisbon\nhttp: { host: 127.0.0.1, port: ${port} }\n`,
    });
    for (const env of [{}, { SHEDBELL_PORT: '' }]) {
      const busy = await builtCommand(['--home', dir, '--now', '2031-09-01T18:00', 'start'], { env });
      expect(busy).toMatchObject({ status: 1, err: expect.stringContaining(`Port ${port} is taken`) });
    }
    await (await start(dir)).stop();
  });

  test.each(['nonsense', '65536', '-1', '80.5'])('SHEDBELL_PORT=%s exits 2 before anything is opened', async (port) => {
    const dir = stage();
    const said = await builtCommand(['--home', dir, '--now', '2031-09-01T18:00', 'start'], {
      env: { SHEDBELL_PORT: port },
    });
    expect(said).toMatchObject({ status: 2, out: '', err: expect.stringMatching(oneLine) });
    expect(existsSync(join(dir, 'data'))).toBe(false);
  });

  test('what a killed one left behind does not hinder the next', async () => {
    const dir = stage();
    const service = await start(dir);
    await on(dir, 'reading', 'cider-press', '146');
    service.child.kill('SIGKILL');
    await service.ended;
    const next = await start(dir);
    expect(await next.page('/machines/cider-press')).toContain('146');
    expect((await next.stop()).status).toBe(0);
  });
});

describe('commands that write while the service runs', () => {
  test('are seen by it, and see what it has', async () => {
    const dir = stage();
    const service = await start(dir);
    const said = await Promise.all([
      on(dir, 'reading', 'cider-press', '140', '--at', '2031-08-20'),
      on(dir, 'reading', 'cider-press', '131', '--at', '2031-07-20'),
      on(dir, 'reading', 'cider-press', '120', '--at', '2031-05-20'),
      on(dir, 'reading', 'cider-press', '110', '--at', '2031-03-20'),
    ]);
    for (const { status, err } of said) expect({ status, err }).toEqual({ status: 0, err: '' });
    writeFileSync(join(dir, 'old.csv'), 'at,hours\n2031-01-20,102\n2031-02-20,106\n');
    expect(await on(dir, 'import', join(dir, 'old.csv'), '--machine', 'cider-press')).toMatchObject({ status: 0 });
    const page = await service.page('/machines/cider-press');
    for (const hours of ['102', '106', '110', '120', '131', '140']) expect(page).toContain(hours);

    const { visits } = JSON.parse((await on(dir, 'visits', '--json')).out);
    const { id } = visits.find((v: { machine: string }) => v.machine === 'cider-press');
    const done = await Promise.all([on(dir, 'done', id), on(dir, 'done', id), on(dir, 'done', id)]);
    expect(done.map(({ status }) => status)).toEqual([0, 0, 0]);
    expect(done.filter(({ out }) => out.startsWith('record-1: '))).toHaveLength(1);
    expect(done.filter(({ out }) => out.startsWith('Already on record: record-1: '))).toHaveLength(2);
    expect(await service.page('/records/record-1')).toMatch(/1 September/);
    expect(await on(dir, 'undo', 'record-1')).toMatchObject({ status: 0 });
    expect(await service.page('/records/record-1')).toMatch(/void|taken back/i);
    expect((await service.stop()).status).toBe(0);
  });
});
