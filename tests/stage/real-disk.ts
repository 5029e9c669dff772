import { execFileSync } from 'node:child_process';
import { closeSync, existsSync, mkdtempSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';

const run = (program: string, ...argv: string[]) => execFileSync(program, argv, { stdio: 'pipe' }).toString().trim();

/** Why no disk can be mounted here, in a sentence; null where one can. */
export function whyNoMounts(): string | null {
  if (process.getuid?.() !== 0) return 'mounting a disk needs root';
  const probe = mkdtempSync(join(tmpdir(), 'shedbell-probe-'));
  try {
    run('mount', '-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', probe);
    run('umount', probe);
    return null;
  } catch {
    return 'this system lets nobody mount a disk';
  } finally {
    rmSync(probe, { recursive: true, force: true });
  }
}

/** A disk of its own in memory, for a test to fill. */
export function mountSmall(folder: string, size: string, closers: (() => unknown)[]): void {
  run('mount', '-t', 'tmpfs', '-o', `size=${size},mode=700`, 'tmpfs', folder);
  closers.push(() => run('umount', '-l', folder));
}

/** Mounts a disk again with other options, such as `remount,ro`. */
export function remount(folder: string, how: string): void {
  run('mount', '-o', how, folder);
}

/** Fills a disk to its last byte with one file.
 *  @returns takes it away again */
export function fill(folder: string): () => void {
  const ballast = join(folder, 'ballast');
  const handle = openSync(ballast, 'w');
  try {
    for (const size of [1 << 20, 4096, 1]) {
      const piece = Buffer.alloc(size, 1);
      try {
        for (;;) writeSync(handle, piece);
      } catch {
        // That much is not left.
      }
    }
  } finally {
    closeSync(handle);
  }
  return () => rmSync(ballast);
}

/** Why no file system can be made to fail here, in a sentence; null where one can. */
export function whyNoFailingDisk(): string | null {
  const why = whyNoMounts();
  if (why !== null) return why;
  if (!existsSync('/sys/fs/ext4')) return 'the kernel has no ext4';
  return ['/sbin/mkfs.ext4', '/usr/sbin/mkfs.ext4'].some(existsSync) && existsSync('/dev/loop-control')
    ? null
    : 'mkfs.ext4 or loop devices are missing';
}

/** An ext4 disk that turns read-only at its first error, as an SD card that wears out does.
 *  @returns makes the error happen. Source: Linux, Documentation/ABI/testing/sysfs-fs-ext4, trigger_fs_error */
export function mountFailing(folder: string, closers: (() => unknown)[]): () => void {
  const image = join(mkdtempSync(join(tmpdir(), 'shedbell-disk-')), 'disk.img');
  run('truncate', '-s', '32M', image);
  run('mkfs.ext4', '-q', image);
  const device = run('losetup', '-f', '--show', image);
  run('mount', '-o', 'errors=remount-ro', device, folder);
  closers.push(() => {
    run('umount', '-l', folder);
    run('losetup', '-d', device);
    rmSync(image, { force: true });
  });
  return () => writeFileSync(`/sys/fs/ext4/${basename(device)}/trigger_fs_error`, 'the card wears out');
}
