import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** Names that a backup may hold, and that a restore may write: nothing of a path that somebody else chose. */
const keptName = /^(?:household\.ya?ml|(?:machines|plans)\/[A-Za-z0-9][A-Za-z0-9._-]{0,99}\.ya?ml)$/;

/** Whether a path is one of a home folder's own files. */
export function isHomeFile(path: string): boolean {
  return keptName.test(path) && !path.includes('..');
}

/** Text of all configuration files of a home folder, by path from it; secrets and data are not among them. */
export function readHomeFiles(dir: string): readonly { readonly path: string; readonly text: string }[] {
  return ['', 'machines', 'plans'].flatMap((folder) =>
    namesIn(join(dir, folder)).flatMap((name) => {
      const path = folder === '' ? name : `${folder}/${name}`;
      return isHomeFile(path) ? [{ path, text: readFileSync(join(dir, path), 'utf8') }] : [];
    }),
  );
}

function namesIn(folder: string): readonly string[] {
  try {
    return readdirSync(folder).sort();
  } catch {
    return [];
  }
}
