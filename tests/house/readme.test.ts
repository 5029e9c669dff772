import { existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { run } from '../../src/cli/run.js';
import { loadHome } from '../../src/home/load-home.js';
import { root } from './source-program.js';

const readme = readFileSync(join(root, 'README.md'), 'utf8');

/** Every `shedbell …` of a text that is shown as something to type: lines set in by four blanks, and words between backticks. */
function commandsIn(text: string): readonly string[] {
  const blocks = text.split('\n').flatMap((line) => (/^ {4}/.test(line) ? [line.trim()] : []));
  const quoted = [...text.matchAll(/`([^`\n]+)`/g)].map(([, inner = '']) => inner);
  return [...blocks, ...quoted]
    .flatMap((line) => line.split(/\s+\|\s+|\s+&&\s+/))
    .map((part) => part.replace(/\s+#.*$/, '').trim())
    .flatMap((part) => /^(?:npx )?shedbell (?!…)(.+)$/.exec(part)?.[1] ?? []);
}

/** What `--help` of a command says, or null where there is no such command. Nothing is run by it. */
async function helpOf(command: string | null): Promise<string | null> {
  const lines: string[] = [];
  const out = { line: (text: string) => void lines.push(text), error: () => undefined };
  const status = await run(command === null ? ['--help'] : [command, '--help'], out);
  const text = lines.join('\n');
  return status === 0 && (command === null || text.includes(`shedbell ${command}`)) ? text : null;
}

/** Options of a help text and whether each takes a value. */
function optionsOf(help: string): ReadonlyMap<string, boolean> {
  return new Map(
    [...help.matchAll(/(--[\w-]+)( [<[][^\s]+[>\]])?/g)].map(([, name = '', value]) => [name, value !== undefined]),
  );
}

/** What is wrong with a command as it is shown; empty where it would be understood. */
async function complaints(shown: string): Promise<readonly string[]> {
  const words = shown.split(/\s+/);
  const global = optionsOf((await helpOf(null)) ?? '');
  const given: string[] = [];
  const used: string[] = [];
  let own: ReadonlyMap<string, boolean> = new Map();
  let command: string | null = null;
  let help = '';
  for (let i = 0; i < words.length; i += 1) {
    const word = words[i] ?? '';
    if (word.startsWith('--')) {
      used.push(word);
      if (own.get(word) ?? global.get(word) ?? false) i += 1;
    } else if (command === null) {
      command = word;
      help = (await helpOf(word)) ?? '';
      if (help === '') return [`${shown}: there is no command ${word}`];
      own = optionsOf(help);
    } else given.push(word);
  }
  if (command === null) return [`${shown}: no command`];
  const usage = /^Usage: (.*)$/m.exec(help)?.[1] ?? '';
  const wanted = [...usage.matchAll(/<\w+>/g)].length;
  const most = wanted + [...usage.matchAll(/\[(?!options)\w+\]/g)].length;
  return [
    ...used
      .filter((option) => !own.has(option) && !global.has(option))
      .map((option) => `${shown}: no option ${option}`),
    ...(given.length < wanted || given.length > most ? [`${shown}: it wants ${usage}`] : []),
  ];
}

test('every command that the README shows exists, with its options and as many words as it takes', async () => {
  const commands = commandsIn(readme);
  expect(commands.length).toBeGreaterThan(9);
  const wrong: string[] = [];
  for (const command of commands) wrong.push(...(await complaints(command)));
  expect(wrong).toEqual([]);
});

test('the check sees an unknown command, an unknown option, and a word too few or too many', async () => {
  const told = async (command: string) => (await complaints(command)).length;
  expect(await told('reading bank-tractor 214.6 --confirm')).toBe(0);
  expect(await told('--home ./shed sheet VISIT --json')).toBe(0);
  for (const wrong of ['raeding bank-tractor 214.6', 'status --yaml', 'reading bank-tractor', 'undo RECORD twice'])
    expect(await told(wrong)).toBe(1);
});

test('the machine that the README shows passes every check', () => {
  const [, name = '', text = ''] = /^ {4}# machines\/(\S+)\n((?: {4}.*\n)+)/m.exec(readme) ?? [];
  expect(name).toMatch(/\.yaml$/);
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-readme-'));
  mkdirSync(join(dir, 'machines'));
  writeFileSync(join(dir, 'household.yaml'), 'name: A\ntimezone: UTC\n');
  writeFileSync(join(dir, 'machines', name), text.replaceAll(/^ {4}/gm, ''));
  const read = loadHome(dir, {});
  expect(read.kind === 'faults' ? read.faults.map(({ line }) => line) : []).toEqual([]);
});

test('every npm script that the README and DEVELOPERS.md name is in package.json', () => {
  const { scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  const text = `${readme}\n${readFileSync(join(root, 'DEVELOPERS.md'), 'utf8')}`;
  const named = new Set([...text.matchAll(/npm run ([\w-]+)/g)].map(([, name = '']) => name));
  if (/npm test\b/.test(text)) named.add('test');
  expect(named.size).toBeGreaterThan(3);
  expect([...named].filter((name) => scripts[name] === undefined)).toEqual([]);
});

test('every file and folder of the project that the README names is there', () => {
  const named = [...readme.matchAll(/\b((?:config|demo-data|docker|web|src)\/[\w./-]*\w|[A-Z]{4,}(?:\.md)?)\b/g)]
    .map(([, path = '']) => path)
    .filter((path) => path.includes('/') || path.endsWith('.md') || path === 'LICENSE');
  expect(named.length).toBeGreaterThan(3);
  expect([...new Set(named)].filter((path) => !existsSync(join(root, path)))).toEqual([]);
});
