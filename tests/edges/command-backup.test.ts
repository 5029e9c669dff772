import {
  chmodSync,
  chownSync,
  existsSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { backUp } from '../../src/store/backup.js';
import { takeLock } from '../../src/store/lock.js';
import { command, commandsOn, removeHome, stageCommandHome } from '../stage/command.js';

const folders: string[] = [];
afterEach(() => folders.splice(0).forEach(removeHome));

function stage() {
  const dir = stageCommandHome();
  const elsewhere = mkdtempSync(join(tmpdir(), 'shedbell-elsewhere-'));
  folders.push(dir, elsewhere);
  return { dir, elsewhere, file: join(elsewhere, 'shed.sqlite'), on: commandsOn(dir) };
}

async function hours(dir: string): Promise<unknown> {
  const { lines } = await commandsOn(dir)('status', '--json');
  return JSON.parse(lines.join('\n')).machines[0].lastReading?.hours;
}

test('a backup brings back data and files, says beforehand what would change, and keeps what it replaces', async () => {
  const { dir, file, on } = stage();
  await on('reading', 'cider-press', '120');
  const made = await on('backup', file);
  expect(made).toMatchObject({ status: 0, errors: [] });
  expect(made.lines.join(' ')).toContain('keys of links');
  await on('reading', 'cider-press', '131', '--at', '2031-09-01T17:59', '--confirm');
  const machine = join(dir, 'machines', 'cider-press.yaml');
  const was = readFileSync(machine, 'utf8');
  writeFileSync(machine, was.replace('Cider press', 'Old press'));

  const dry = await on('restore', file, '--dry-run');
  expect(dry.status).toBe(0);
  expect(dry.lines.join('\n')).toMatch(/machines\/cider-press\.yaml: replaced/);
  expect(dry.lines.at(-1)).toBe('Nothing was changed.');
  expect(readFileSync(machine, 'utf8')).toContain('Old press');

  expect(await on('restore', file)).toMatchObject({ status: 0, errors: [] });
  expect(await hours(dir)).toBe(120);
  expect(readFileSync(machine, 'utf8')).toBe(was);
  expect(readFileSync(join(dir, 'data/replaced-1/machines/cider-press.yaml'), 'utf8')).toContain('Old press');
  expect(existsSync(join(dir, 'data/replaced-1/shedbell.sqlite'))).toBe(true);
});

test('a backup that names files outside the home folder, or the secrets in it, writes none of them', async () => {
  const { dir, elsewhere, file, on } = stage();
  await on('reading', 'cider-press', '120');
  const text = 'name: not ours';
  const paths = [
    '../outside.yaml',
    'machines/../../outside.yaml',
    join(elsewhere, 'outside.yaml'),
    'secrets/mail',
    'data/password',
    'machines/.hidden.yaml',
    'machines/a\0.yaml',
  ];
  await backUp(join(dir, 'data', 'shedbell.sqlite'), file, {
    files: [...paths, 'machines/added.yaml'].map((path) => ({ path, text })),
    atMs: 1_945_000_000_000,
  });
  const before = readdirSync(dir, { recursive: true }).map(String);
  expect((await on('restore', file)).status).toBe(0);
  const added = readdirSync(dir, { recursive: true })
    .map(String)
    .filter((path) => !before.includes(path) && !path.startsWith('data'));
  expect(added).toEqual(['machines/added.yaml']);
  expect(existsSync(join(dir, 'data', 'password'))).toBe(false);
  expect(existsSync(join(dir, '..', 'outside.yaml'))).toBe(false);
  expect(existsSync(join(elsewhere, 'outside.yaml'))).toBe(false);
});

test('a file that is put back is swapped in whole, so that a kill leaves the old one or the new one', async () => {
  const { dir, elsewhere, file, on } = stage();
  await on('reading', 'cider-press', '120');
  await on('backup', file);
  const machine = join(dir, 'machines', 'cider-press.yaml');
  const changed = readFileSync(machine, 'utf8').replace('Cider press', 'Old press');
  writeFileSync(machine, changed);
  chmodSync(machine, 0o640);
  // A second name of the old file: one that is written over in place changes under it.
  linkSync(machine, join(elsewhere, 'old.yaml'));
  expect((await on('restore', file)).status).toBe(0);
  expect(readFileSync(machine, 'utf8')).toContain('Cider press');
  expect(statSync(machine).mode & 0o777).toBe(0o640);
  expect(readFileSync(join(elsewhere, 'old.yaml'), 'utf8')).toBe(changed);
  expect(readdirSync(join(dir, 'machines')).sort()).toEqual(['cider-press.yaml', 'hand-tiller.yaml']);
});

test('an empty folder of a new computer becomes the old household', async () => {
  const { elsewhere, file, on } = stage();
  await on('reading', 'cider-press', '120');
  await on('backup', file);
  const fresh = join(elsewhere, 'shed');
  expect(await command('--home', fresh, 'restore', file)).toMatchObject({ status: 0, errors: [] });
  expect(await hours(fresh)).toBe(120);
});

test.skipIf(process.getuid?.() !== 0)('files that root puts back are left to the user whose folder it is', async () => {
  const { elsewhere, file, on } = stage();
  await on('reading', 'cider-press', '120');
  await on('backup', file);
  const fresh = join(elsewhere, 'shed');
  mkdirSync(fresh);
  chownSync(fresh, 61_234, 61_234);
  expect(await command('--home', fresh, 'restore', file)).toMatchObject({ status: 0, errors: [] });
  const owners = ['household.yaml', 'machines', 'machines/cider-press.yaml'].map(
    (path) => statSync(join(fresh, path)).uid,
  );
  expect(owners).toEqual([61_234, 61_234, 61_234]);
  writeFileSync(join(fresh, 'household.yaml'), `${readFileSync(join(fresh, 'household.yaml'), 'utf8')}# changed\n`);
  expect(await command('--home', fresh, 'restore', file)).toMatchObject({ status: 0, errors: [] });
  const kept = ['household.yaml', 'shedbell.sqlite'].map((path) => statSync(join(fresh, 'data/replaced-2', path)).uid);
  expect(kept).toEqual([61_234, 61_234]);
});

test('nothing is restored while the service runs, and each refusal is one line with exit 1 or 2', async () => {
  const { dir, elsewhere, file, on } = stage();
  await on('reading', 'cider-press', '120');
  await on('backup', file);
  const lock = takeLock(join(dir, 'data'), { pid: 4711 });
  const running = await on('restore', file);
  expect(running).toMatchObject({ status: 1, lines: [] });
  expect(running.errors).toEqual([expect.stringContaining('process 4711')]);
  lock.release();
  const text = join(elsewhere, 'text');
  writeFileSync(text, 'my letters');
  for (const argv of [
    ['restore', text],
    ['restore', join(elsewhere, 'none')],
    ['backup', text],
  ]) {
    const refused = await on(...argv);
    expect(refused, argv.join(' ')).toMatchObject({ status: 2, lines: [] });
    expect(refused.errors).toHaveLength(1);
  }
  expect(readFileSync(text, 'utf8')).toBe('my letters');
});

test('what is wrong with the file of a backup is said of that file, and of the data nothing', async () => {
  const { dir, elsewhere, file, on } = stage();
  await on('reading', 'cider-press', '120');
  await on('backup', file);
  writeFileSync(file, readFileSync(file).fill(7, 8192, 20_000));
  const nowhere = join(elsewhere, 'none', 'shed.sqlite');
  for (const [argv, place, said] of [
    [['restore', file], file, /This backup is damaged.*Nothing was changed\. Take another backup.*data\/backups/],
    [['restore', elsewhere], elsewhere, /This cannot be read.*Name a file/],
    [['backup', nowhere], nowhere, /Check that the folder exists/],
    [['backup', elsewhere], elsewhere, /folder/],
  ] as const) {
    const { status, lines, errors } = await on(...argv);
    expect({ status, lines, count: errors.length }, argv.join(' ')).toEqual({ status: 2, lines: [], count: 1 });
    expect(errors[0]).toMatch(said);
    expect(errors[0]?.startsWith(`${place}: `)).toBe(true);
    expect(errors[0]).not.toContain(join(dir, 'data', 'shedbell.sqlite'));
  }
  expect(await hours(dir)).toBe(120);
});
