import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { homeErrors } from './errors.js';

const folder = (name: string) => fileURLToPath(new URL(`../${name}/`, import.meta.url));

function codesIn(name: string): Set<string> {
  const texts = readdirSync(folder(name))
    .filter((file) => file.endsWith('.ts') && !file.endsWith('.test.ts') && file !== 'errors.ts')
    .map((file) => readFileSync(`${folder(name)}${file}`, 'utf8'));
  return new Set(texts.flatMap((text) => [...text.matchAll(/'([a-z]+(?:-[a-z]+)+)'/g)].map(([, code]) => code ?? '')));
}

function raisedIn(name: string): string[] {
  const texts = readdirSync(folder(name))
    .filter((file) => file.endsWith('.ts') && !file.endsWith('.test.ts'))
    .map((file) => readFileSync(`${folder(name)}${file}`, 'utf8'));
  return texts.flatMap((text) => [...text.matchAll(/code: '([a-z-]+)'/g)].map(([, code]) => code ?? ''));
}

it('every code in the list is raised somewhere', () => {
  const used = codesIn('home');
  expect(Object.keys(homeErrors).filter((code) => !used.has(code))).toEqual([]);
});

it('every code that is raised stands in the list, or is one of the domain', () => {
  const domain = new Set(raisedIn('domain'));
  // 'custom' is the schema library's word for a complaint that carries a code of ours.
  const known = (code: string) => code === 'custom' || Object.hasOwn(homeErrors, code) || domain.has(code);
  expect(raisedIn('home').filter((code) => !known(code))).toEqual([]);
});
