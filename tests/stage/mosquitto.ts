import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { requirePeer } from './peers.js';

/** A real Mosquitto with a folder of its own, on a free loopback port, keeping sessions and queues on disk. */
export interface Mosquitto {
  readonly url: string;
  readonly port: number;
  /** Lines of its log so far. */
  readonly log: readonly string[];
  /** Resolves with the first line from now on, or already there, that matches. */
  logged(pattern: RegExp): Promise<string>;
  /** Resolves with the next line that matches; those already there do not count. */
  next(pattern: RegExp): Promise<string>;
  /** Ends it without a chance to save, as a power cut would; what it saved before stays. */
  kill(): Promise<void>;
  /** Throws away what it saved; only while it is not running. */
  forget(): void;
  /** Starts it again on the same port and folder. */
  start(): Promise<void>;
  /** Sets the password of a user and tells the running broker; only with `users`. */
  setPassword(user: string, password: string): void;
  /** Ends it and removes its folder. */
  remove(): Promise<void>;
}

/** @param users  names and passwords; absent: everybody may connect
 *  @param tls    its key and certificate (PEM): then it speaks TLS only */
export async function startMosquitto(
  how: {
    readonly users?: Readonly<Record<string, string>>;
    readonly tls?: { readonly key: string; readonly cert: string };
  } = {},
): Promise<Mosquitto> {
  const program = requirePeer('mosquitto');
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-mosquitto-'));
  const port = await freePort();
  const passwords = join(folder, 'passwords');
  const settings = [
    `listener ${port} 127.0.0.1`,
    ...(how.tls === undefined ? [] : [`keyfile ${join(folder, 'key.pem')}`, `certfile ${join(folder, 'cert.pem')}`]),
    'persistence true',
    `persistence_location ${folder}/`,
    'autosave_interval 1',
    'autosave_on_changes true',
    'max_queued_messages 100000',
    'log_dest stderr',
    'log_type all',
    'user root',
    ...(how.users === undefined ? ['allow_anonymous true'] : ['allow_anonymous false', `password_file ${passwords}`]),
  ];
  writeFileSync(join(folder, 'mosquitto.conf'), `${settings.join('\n')}\n`);
  if (how.tls !== undefined) {
    writeFileSync(join(folder, 'key.pem'), how.tls.key, { mode: 0o600 });
    writeFileSync(join(folder, 'cert.pem'), how.tls.cert);
  }
  if (how.users !== undefined) {
    writeFileSync(passwords, '', { mode: 0o600 });
    for (const [user, password] of Object.entries(how.users)) writePassword(passwords, user, password);
  }

  const log: string[] = [];
  const waiting = new Set<{ pattern: RegExp; resolve: (line: string) => void }>();
  let running: ChildProcess | null = null;

  async function start(): Promise<void> {
    const from = log.length;
    const started = spawn(program, ['-c', join(folder, 'mosquitto.conf')], { stdio: ['ignore', 'ignore', 'pipe'] });
    running = started;
    const isUp = new Promise<void>((resolve, reject) => {
      createInterface({ input: started.stderr }).on('line', (line) => {
        log.push(line);
        if (/mosquitto version .* running/.test(line)) resolve();
        for (const one of [...waiting]) {
          if (!one.pattern.test(line)) continue;
          waiting.delete(one);
          one.resolve(line);
        }
      });
      started.once('error', reject);
      started.once('exit', () => reject(new Error(`mosquitto ended at once: ${log.slice(from).join(' | ')}`)));
    });
    await isUp;
  }

  async function kill(): Promise<void> {
    if (running === null) return;
    const ended = once(running, 'exit');
    running.kill('SIGKILL');
    running = null;
    await ended;
  }

  await start();
  return {
    url: `${how.tls === undefined ? 'mqtt' : 'mqtts'}://127.0.0.1:${port}`,
    port,
    log,
    logged(pattern) {
      const found = log.find((line) => pattern.test(line));
      if (found !== undefined) return Promise.resolve(found);
      return new Promise((resolve) => waiting.add({ pattern, resolve }));
    },
    next: (pattern) => new Promise((resolve) => waiting.add({ pattern, resolve })),
    kill,
    forget: () => rmSync(join(folder, 'mosquitto.db'), { force: true }),
    start,
    setPassword(user, password) {
      writePassword(passwords, user, password);
      running?.kill('SIGHUP');
    },
    async remove() {
      await kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

function writePassword(file: string, user: string, password: string): void {
  execFileSync('/usr/bin/mosquitto_passwd', ['-b', file, user, password], { stdio: 'pipe' });
}

/** A loopback port that was free just now. */
async function freePort(): Promise<number> {
  const probe = createServer();
  probe.listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const address = probe.address();
  probe.close();
  await once(probe, 'close');
  if (typeof address !== 'object' || address === null) throw new Error('no port was given');
  return address.port;
}
