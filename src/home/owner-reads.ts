import { lstatSync, readdirSync, type Stats, statSync } from 'node:fs';
import { join } from 'node:path';

/** Files and folders of a home folder, its secrets included, that its owner, as whom the service runs, may not read. Root may read
 *  all, so whoever works as root notices nothing of it. By the bits of the mode; what else forbids reading is not known here.
 *  @param dir  the home folder
 *  @returns    paths from it, in the order of the alphabet; empty where root owns it
 *  Source: POSIX.1-2017, XBD 4.5, File Access Permissions. */
export function closedToOwner(dir: string): readonly string[] {
  const owner = statSync(dir, { throwIfNoEntry: false });
  if (owner === undefined || owner.uid === 0) return [];
  const look = (path: string): readonly string[] => {
    const file = join(dir, path);
    const found = statSync(file, { throwIfNoEntry: false });
    if (found === undefined) return [];
    if (!mayRead(found, owner)) return [path];
    return found.isDirectory() && !lstatSync(file).isSymbolicLink()
      ? readdirSync(file)
          .sort()
          .flatMap((name) => look(join(path, name)))
      : [];
  };
  return ['household.yaml', 'machines', 'plans', 'secrets'].flatMap(look);
}

function mayRead(file: Stats, user: Pick<Stats, 'uid' | 'gid'>): boolean {
  const shift = file.uid === user.uid ? 6 : file.gid === user.gid ? 3 : 0;
  // A folder is of use to whoever may list it and pass through it.
  const wanted = file.isDirectory() ? 0o5 : 0o4;
  return ((file.mode >> shift) & wanted) === wanted;
}
