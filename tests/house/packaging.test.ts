import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { root } from './source-program.js';

const read = (path: string) => readFileSync(join(root, path), 'utf8');

/** Settings of a unit file by section; a key may come several times. */
function unitOf(text: string): ReadonlyMap<string, string> {
  const settings = new Map<string, string>();
  let section = '';
  for (const line of text.split('\n').map((one) => one.trim())) {
    if (line === '' || line.startsWith('#')) continue;
    const head = /^\[(\w+)\]$/.exec(line);
    if (head !== null) {
      section = head[1] ?? '';
      continue;
    }
    const [, key, value] = /^([A-Za-z]+)=(.*)$/.exec(line) ?? [];
    if (key === undefined || value === undefined) throw new Error(`no setting: ${line}`);
    settings.set(`${section}.${key}`, value);
  }
  return settings;
}

test('the unit runs as nobody in particular, writes its own folder only, and never gives up', () => {
  const unit = unitOf(read('docker/shedbell.service'));
  expect(Object.fromEntries(unit)).toMatchObject({
    'Unit.StartLimitIntervalSec': '0',
    'Service.Type': 'notify',
    'Service.NotifyAccess': 'all',
    'Service.DynamicUser': 'yes',
    'Service.StateDirectory': 'shedbell',
    'Service.ProtectSystem': 'strict',
    'Service.NoNewPrivileges': 'yes',
    'Service.UMask': '0077',
    'Service.Restart': 'always',
    'Install.WantedBy': 'multi-user.target',
  });
  // Wakes come every minute: three of them may fail before it is started anew.
  expect(Number(unit.get('Service.WatchdogSec'))).toBeGreaterThanOrEqual(180);
  expect(unit.has('Service.MemoryDenyWriteExecute')).toBe(false);
});

test('no system call of the engine, of today or to come, kills it at its start', () => {
  const unit = unitOf(read('docker/shedbell.service'));
  // Without it V8 died by SIGSYS on x86-64 (pkey_alloc, seen under systemd 252 with Node 20).
  expect(unit.get('Service.SystemCallFilter')?.split(' ')).toEqual(['@system-service', '@pkey']);
  // glibc and libuv fall back where a call is unknown, and only there: clone3(2), io_uring_setup(2).
  expect(unit.get('Service.SystemCallErrorNumber')).toBe('ENOSYS');
});

test('systemd finds nothing wrong with the unit, where it is installed', () => {
  const found = spawnSync('systemd-analyze', ['verify', join(root, 'docker/shedbell.service')], { encoding: 'utf8' });
  // Without systemd the settings above are all that can be checked.
  if (found.error !== undefined) return expect(found.error).toMatchObject({ code: 'ENOENT' });
  expect(found.stderr).not.toMatch(/Unknown (key|section)|Failed to parse/i);
});

test('systemd finds the unit little exposed, where it is installed: 2.5 of 10 at most', () => {
  const judge = ['security', '--offline=true', '--threshold=25', '--no-pager', join(root, 'docker/shedbell.service')];
  const found = spawnSync('systemd-analyze', judge, { encoding: 'utf8' });
  if (found.error !== undefined) return expect(found.error).toMatchObject({ code: 'ENOENT' });
  // Before version 250 it judges units that are loaded only.
  if (/unrecognized option/.test(found.stderr)) return;
  expect(found.stdout).toMatch(/Overall exposure level for shedbell\.service: [0-2]\.\d/);
  expect(found.status).toBe(0);
});

test('the image is built in two stages, runs as a user without rights, and looks after its health', () => {
  const lines = read('docker/Dockerfile').replaceAll('\\\n', ' ').split('\n');
  const stages = lines.flatMap((line, index) => (line.startsWith('FROM ') ? [index] : []));
  expect(stages).toHaveLength(2);
  const last = lines.slice(stages.at(-1));
  expect(last).toContain('USER node');
  expect(last.findIndex((line) => line.startsWith('USER'))).toBeLessThan(
    last.findIndex((line) => /^(ENTRYPOINT|CMD)/.test(line)),
  );
  expect(last.join('\n')).toMatch(/HEALTHCHECK .*\/health/);
  expect(last.join('\n')).not.toMatch(/apt-get|npm ci/);
  // What a page tells to type is typed in the container too.
  expect(last.join('\n')).toContain('ln -s /app/dist/main.js /usr/local/bin/shedbell');
  const major = Number(/^FROM node:(\d+)/m.exec(read('docker/Dockerfile'))?.[1]);
  expect(major).toBeGreaterThanOrEqual(20);
  for (const [, from = ''] of read('docker/Dockerfile').matchAll(/^COPY (\w+) \.\//gm))
    expect(existsSync(join(root, from)), from).toBe(true);
  const wanted = JSON.parse(read('package.json')).files.filter((one: string) => one !== 'dist');
  for (const folder of wanted) expect(read('docker/Dockerfile')).toContain(`COPY ${folder} ./${folder}`);
});

test('the composition has a broker that wants passwords and keeps what comes meanwhile', () => {
  const compose = parse(read('docker/compose.yaml'));
  expect(Object.keys(compose.services).sort()).toEqual(['broker', 'shedbell']);
  for (const service of Object.values<{ restart: string }>(compose.services))
    expect(service.restart).toBe('unless-stopped');
  expect(compose.services.shedbell).toMatchObject({ read_only: true, cap_drop: ['ALL'] });
  // A folder that Docker makes for the service is root's, and the user of the image could not write it.
  expect(read('docker/compose.yaml')).toMatch(/^# +mkdir -p shed && chown 1000:1000 shed /m);
  const broker = read('docker/mosquitto/mosquitto.conf');
  for (const line of ['allow_anonymous false', 'persistence true', 'max_queued_messages 100000'])
    expect(broker.split('\n')).toContain(line);
  expect(broker).toMatch(/^password_file /m);
});

/** Licences of production dependencies that an MIT project may ship with. MPL-2.0: the files stay as they came (its section 3.1). */
const allowed = [
  'MIT',
  'MIT-0',
  'ISC',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'Apache-2.0',
  '0BSD',
  'MPL-2.0',
  'BlueOak-1.0.0',
  'CC0-1.0',
  'Unlicense',
];

test('every production dependency has a licence that may be shipped', () => {
  const listed = execFileSync('npm', ['ls', '--omit=dev', '--all', '--parseable'], { cwd: root, encoding: 'utf8' });
  const folders = listed.split('\n').filter((path) => path.includes('node_modules'));
  expect(folders.length).toBeGreaterThan(60);
  const bad = folders.flatMap((folder) => {
    const { name, license, licenses } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
    const said = String(typeof license === 'string' ? license : (license?.type ?? licenses?.[0]?.type ?? 'none'));
    // `(A OR B)`: one that fits is enough; `A AND B`: both must.
    const fits = said
      .replace(/[()]/g, '')
      .split(' OR ')
      .some((choice) => choice.split(' AND ').every((one) => allowed.includes(one.trim())));
    return fits ? [] : [`${name}: ${said}`];
  });
  expect(bad).toEqual([]);
});
