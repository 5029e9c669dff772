import { readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

// A small computer reads a card slowly: a command loads its own code and nothing else, so that it answers soon.
const src = fileURLToPath(new URL('..', import.meta.url));

/** Everything that a file loads before it does anything: files of src, and packages by name. Types and `import()` load nothing. */
function loadedBy(entry: string): ReadonlySet<string> {
  const seen = new Set<string>();
  const visit = (file: string) => {
    const name = relative(src, file);
    if (seen.has(name)) return;
    seen.add(name);
    const text = readFileSync(file, 'utf8');
    for (const [, clause = '', from = ''] of text.matchAll(/^(?:import|export)\s+([^'";]*?from\s+)?'([^']+)';/gm)) {
      const isTypeOnly = /^type\s/.test(clause) || /^\{(\s*type\s+[^,}]+,?)+\s*\}\s*from\s+$/.test(clause);
      if (isTypeOnly || from.startsWith('node:')) continue;
      if (from.startsWith('.')) visit(sourceOf(join(dirname(file), from)));
      else seen.add(from);
    }
  };
  visit(join(src, entry));
  return seen;
}

function sourceOf(built: string): string {
  const plain = built.replace(/\.js$/, '.ts');
  try {
    readFileSync(plain);
    return plain;
  } catch {
    return `${plain}x`;
  }
}

const packagesOf = (entry: string) => [...loadedBy(entry)].filter((name) => !/\.tsx?$/.test(name)).sort();
const foldersOf = (entry: string) =>
  new Set(
    [...loadedBy(entry)].filter((name) => name.includes('/') && /\.tsx?$/.test(name)).map((name) => name.split('/')[0]),
  );

it('the entry loads the parser of arguments and nothing that a command needs', () => {
  expect(packagesOf('main.ts')).toEqual(['commander']);
  expect(foldersOf('main.ts')).toEqual(new Set(['cli', 'domain']));
});

it('compute forecast loads neither store nor mail nor page', () => {
  expect(packagesOf('cli/compute-forecast.ts')).toEqual(['temporal-polyfill', 'zod']);
  expect([...foldersOf('cli/compute-forecast.ts')].sort()).toEqual(['cli', 'domain', 'forecast', 'hours', 'maths']);
});

it.each(['order', 'grouping', 'inspection'])('compute %s loads the parser of lines and its own solver', (what) => {
  expect(packagesOf(`cli/compute-${what}.ts`).filter((name) => name !== 'temporal-polyfill')).toEqual(['zod']);
  for (const folder of foldersOf(`cli/compute-${what}.ts`)) {
    expect(['cli', 'domain', 'sheet', 'visits', 'inspection', 'maths']).toContain(folder);
  }
});

it.each(['init', 'check'])('%s loads the home folder alone', (command) => {
  for (const name of ['better-sqlite3', 'nodemailer', 'mqtt', 'express', 'pino', 'node-cron']) {
    expect(packagesOf(`cli/${command}.ts`)).not.toContain(name);
  }
});

it.each(['status', 'visits', 'sheet', 'reading', 'done', 'undo', 'import', 'export', 'test-notice'])(
  '%s loads no page, no broker, no timer and no log',
  (command) => {
    const packages = packagesOf(`cli/${command}.ts`);
    for (const name of ['mqtt', 'aedes', 'express', 'helmet', 'express-rate-limit', 'pino', 'node-cron']) {
      expect(packages).not.toContain(name);
    }
    expect(foldersOf(`cli/${command}.ts`)).not.toContain('rehearsal');
  },
);

it('the walk sees what start loads, so that it would see it elsewhere', () => {
  expect(packagesOf('cli/start.ts')).toEqual(
    expect.arrayContaining(['better-sqlite3', 'express', 'mqtt', 'node-cron', 'pino']),
  );
});
