import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { projectFiles } from './project-files.js';
import { root } from './source-program.js';

// Put together from pieces, so that this file does not hold them itself.
const words = [
  { what: 'work put off', shape: new RegExp(`\\b(${['TO' + 'DO', 'FIX' + 'ME', 'X' + 'XX'].join('|')})\\b`) },
  { what: 'a machine speaking of itself', shape: new RegExp(`\\bas an ${'A' + 'I'}\\b`, 'i') },
  {
    what: 'a path of the computer it was written on',
    shape: new RegExp(`(?<![\\w./:-])/(${['wo' + 'rk', 'tmp/br' + 'ief', 'fa' + 'rm'].join('|')})(?![\\w-])`),
  },
] as const;

function findIn(text: string, place: string): readonly string[] {
  return text
    .split('\n')
    .flatMap((line, i) =>
      words.flatMap(({ what, shape }) =>
        shape.test(line) ? [`${place}:${i + 1}: ${what}: ${line.trim().slice(0, 80)}`] : [],
      ),
    );
}

test('no file holds work put off, a machine speaking of itself, or a path of the computer it was written on', () => {
  const paths = projectFiles();
  expect(paths.length).toBeGreaterThan(250);
  for (const path of ['README.md', '.ci/run', 'config/example-home/household.yaml', 'src/main.ts', 'web/style.css'])
    expect(paths).toContain(path);
  expect(paths.flatMap((path) => findIn(readFileSync(join(root, path), 'utf8'), path))).toEqual([]);
});

test('the search finds them in a text, and lets alike ones pass', () => {
  const held = [
    `// ${'TO' + 'DO'}: later`,
    `see /${'wo' + 'rk'}/main`,
    `"/${'tmp/br' + 'ief'}"`,
    `As an ${'A' + 'I'} model`,
  ];
  expect(held.flatMap((line) => findIn(line, 'x'))).toHaveLength(held.length);
  const alike = [
    'BEGIN:VTODO',
    'https://example.org/workshop',
    './work/parts',
    'the farm/barn topic',
    'topic barn/farm',
  ];
  expect(alike.flatMap((line) => findIn(line, 'x'))).toEqual([]);
});
