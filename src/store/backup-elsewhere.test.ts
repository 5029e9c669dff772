import * as fs from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { backUp, readBackup } from './backup.js';
import { openStore } from './open.js';

// Stands for the file systems of sticks and network shares that know no permissions and flush no folder; none can be mounted in a test.
vi.mock('node:fs', { spy: true });

let folder: string;
beforeEach(() => {
  folder = fs.mkdtempSync(join(tmpdir(), 'shedbell-stick-'));
  openStore(join(folder, 'shedbell.sqlite')).close();
});
afterEach(() => {
  vi.mocked(fs.chmodSync).mockReset();
  vi.mocked(fs.fsyncSync).mockReset();
  fs.rmSync(folder, { recursive: true, force: true });
});

const refusal = (code: string) => Object.assign(new Error(`${code}: refused`), { code });
const making = async () => {
  const to = join(folder, 'copy.sqlite');
  await backUp(join(folder, 'shedbell.sqlite'), to, { files: [], atMs: 1_900_000_000_000 });
  return readBackup(to).madeAtMs;
};

it.each(['EPERM', 'ENOSYS', 'ENOTSUP'])('a backup is made where permissions are answered with %s', async (code) => {
  vi.mocked(fs.chmodSync).mockImplementation(() => {
    throw refusal(code);
  });
  expect(await making()).toBe(1_900_000_000_000);
});

it('a backup is made where a folder cannot be flushed, and its file still is', async () => {
  const flushed: boolean[] = [];
  const folderOf = dirname(join(folder, 'copy.sqlite'));
  const ino = fs.statSync(folderOf).ino;
  vi.mocked(fs.fsyncSync).mockImplementation((handle) => {
    const isFolder = fs.fstatSync(handle).ino === ino;
    flushed.push(isFolder);
    if (isFolder) throw refusal('EINVAL');
  });
  expect(await making()).toBe(1_900_000_000_000);
  expect(flushed).toEqual([false, true]);
});

it('a disk that fails is no such file system', async () => {
  vi.mocked(fs.fsyncSync).mockImplementation(() => {
    throw refusal('EIO');
  });
  await expect(making()).rejects.toThrow();
});
