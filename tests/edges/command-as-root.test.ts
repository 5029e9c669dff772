import {
  chmodSync,
  chownSync,
  existsSync,
  mkdirSync,
  readdirSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { closedToOwner } from '../../src/home/owner-reads.js';
import { leaveToOwner } from '../../src/store/give-to.js';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';

// The home folder belongs to the user of the service, who is nobody that logs in: what is typed is typed as root.
const isRoot = process.getuid?.() === 0;
const user = 61_234;
const folders: string[] = [];
afterEach(() => folders.splice(0).forEach(removeHome));

/** A home folder whose files all belong to the user of the service. */
function stage() {
  const dir = stageCommandHome();
  folders.push(dir);
  const give = (path: string): void => {
    chownSync(path, user, user);
    if (statSync(path).isDirectory()) for (const name of readdirSync(path)) give(join(path, name));
  };
  give(dir);
  return { dir, on: commandsOn(dir) };
}

const strangers = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter(
    (path) => statSync(join(folder, path)).uid !== user,
  );

test.skipIf(!isRoot)('whatever root types, what it writes into the data is left to the service', async () => {
  const { dir, on } = stage();
  expect(await on('reading', 'cider-press', '120')).toMatchObject({ status: 0, errors: [] });
  // Without mail it is written to data/outbox, where the next letter of the service has to go too.
  expect(await on('test-notice')).toMatchObject({ status: 0, errors: [] });
  expect(existsSync(join(dir, 'data', 'outbox'))).toBe(true);
  expect(statSync(join(dir, 'data')).uid).toBe(user);
  expect(strangers(join(dir, 'data'))).toEqual([]);
  // A command that fails has written all the same.
  writeFileSync(join(dir, 'data', 'of-root'), '');
  expect(await on('reading', 'cider-press', 'nonsense')).toMatchObject({ status: 2 });
  expect(strangers(join(dir, 'data'))).toEqual([]);
});

test.skipIf(!isRoot)('no link in the data leads out of them', () => {
  const { dir } = stage();
  const outside = stageCommandHome();
  folders.push(outside);
  mkdirSync(join(dir, 'data'));
  symlinkSync(outside, join(dir, 'data', 'away'));
  symlinkSync(join(outside, 'household.yaml'), join(dir, 'data', 'file-away'));
  leaveToOwner(join(dir, 'data'), dir);
  expect(statSync(outside).uid).toBe(0);
  expect(statSync(join(outside, 'household.yaml')).uid).toBe(0);
});

test.skipIf(!isRoot)('check names what root may read and the service may not, and what to type', async () => {
  const { dir, on } = stage();
  expect(await on('check')).toMatchObject({ status: 0, errors: [] });
  mkdirSync(join(dir, 'secrets'));
  const secret = join(dir, 'secrets', 'mail');
  writeFileSync(secret, 'not for all\n', { mode: 0o600 });
  const said = await on('check');
  expect(said.status).toBe(2);
  expect(said.errors).toEqual([
    `secrets/mail: root may read it, but the user of the service, who owns ${dir}, may not. Type as root: chown -R --reference=${dir} ${dir}/secrets`,
  ]);
  chownSync(secret, user, user);
  expect(await on('check')).toMatchObject({ status: 0, errors: [] });
  // A folder that lists nothing to them closes all that is in it.
  chmodSync(join(dir, 'machines'), 0o700);
  chownSync(join(dir, 'machines'), 0, 0);
  expect(closedToOwner(dir)).toEqual(['machines']);
});
