import { readdirSync } from 'node:fs';
import { extname, join, relative } from 'node:path';
import { root } from './source-program.js';

/** What is built, fetched or drawn, and belongs to nobody's hand. */
const notOurs = new Set(['node_modules', 'dist', '.git', 'coverage', 'shed', '.demo', 'pictures', 'package-lock.json']);
const pictures = new Set(['.png', '.jpg', '.ico', '.woff2', '.ttf', '.sqlite']);

/** Every text file of the project, as a path from the top with slashes, sorted. */
export function projectFiles(): readonly string[] {
  return [...filesBelow(root)].sort();
}

function filesBelow(folder: string): readonly string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    if (notOurs.has(entry.name) || entry.name.endsWith('.log')) return [];
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return filesBelow(path);
    return entry.isFile() && !pictures.has(extname(entry.name)) ? [relative(root, path).replaceAll('\\', '/')] : [];
  });
}
