import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { projectFiles } from './project-files.js';
import { root } from './source-program.js';

/** A file past this many lines does more than one job, unless it says here why not. */
const mostLines = 400;
const longForAReason: Readonly<Record<string, string>> = {
  'src/home/load-home.test.ts': 'one list of what people get wrong in their files, an entry of a few lines each',
  'web/style.css': 'one stylesheet for all pages, so that a phone fetches one file; it has no parts to import',
};

const lines = new Map(
  projectFiles()
    .filter((path) => /^(src|tests|web)\/.*\.(tsx?|m?js|css)$/.test(path))
    .map((path) => [path, readFileSync(join(root, path), 'utf8').trimEnd().split('\n').length]),
);

test('no source file is longer than 400 lines, unless it is listed here with a reason', () => {
  expect(lines.size).toBeGreaterThan(200);
  const long = [...lines].filter(([path, count]) => count > mostLines && longForAReason[path] === undefined);
  expect(long.map(([path, count]) => `${path}: ${count} lines`)).toEqual([]);
});

test('every file that is listed is still there and still long', () => {
  const stale = Object.keys(longForAReason).filter((path) => (lines.get(path) ?? 0) <= mostLines);
  expect(stale).toEqual([]);
});
