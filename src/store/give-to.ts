import { chownSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';

/** Whoever works as root leaves what they made to the user of the service, whose folder it is: it could not read it else.
 *  @param folder  whose owner gets it
 *  @param paths   files, and folders with the files right in them
 *  Source: own design. */
export function giveTo(folder: string, paths: readonly string[]): void {
  if (process.getuid?.() !== 0) return;
  const { uid, gid } = statSync(folder);
  for (const path of paths) {
    chownSync(path, uid, gid);
    if (statSync(path).isDirectory()) for (const name of readdirSync(path)) chownSync(join(path, name), uid, gid);
  }
}
