import { chownSync, lchownSync, lstatSync, readdirSync, statSync } from 'node:fs';
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

/** Leaves everything below a folder that belongs to root to the owner of another one, such as what a command that root typed wrote
 *  beside the data of a service: that could not write there from then on. Follows no link, and does nothing for anybody but root.
 *  What cannot be given, such as a file that is gone by then, stays as it is.
 *  @param folder  looked through to its depths; may be missing
 *  @param owned   whose owner gets it; nothing is given where that is root
 *  Source: own design. */
export function leaveToOwner(folder: string, owned: string): void {
  if (process.getuid?.() !== 0) return;
  const owner = statSync(owned, { throwIfNoEntry: false });
  if (owner === undefined || owner.uid === 0) return;
  const leave = (path: string): void => {
    try {
      const found = lstatSync(path);
      if (found.uid === 0) lchownSync(path, owner.uid, owner.gid);
      if (found.isDirectory()) for (const name of readdirSync(path)) leave(join(path, name));
    } catch {
      // The service beside it makes and removes files all the time.
    }
  };
  leave(folder);
}
