import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { parse } from 'yaml';
import { loadHome } from '../../src/home/load-home.js';
import { root } from './source-program.js';

/** Keys are written as paths: `people[].name` is in a list, `last.*.day` below a key that the owner chooses. */
interface JsonSchema {
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  readonly additionalProperties?: JsonSchema | boolean;
  readonly items?: JsonSchema;
  readonly anyOf?: readonly JsonSchema[];
  readonly oneOf?: readonly JsonSchema[];
  readonly allOf?: readonly JsonSchema[];
}

/** Keys that the example home does not show, each group with where an owner finds it instead: under another key, or in a plan. */
const shownElsewhere = [
  {
    keys: /^tasks\.\*\.ifOut\.(?=(needs|steps|parts)\b)/,
    as: 'tasks.*.',
    reason: 'work that a bad finding brings is written as the work of a task is',
  },
  {
    keys: /^tasks\.\*\.steps\[\]\.caution\./,
    as: 'tasks.*.cautions[].',
    reason: 'a caution of a step is written as one of a task is',
  },
] as const;

/** The key under which another is shown. */
function asShown(key: string): string {
  return shownElsewhere.reduce((path, { keys, as }) => path.replace(keys, as), key);
}

function keysOf(schema: JsonSchema, above = ''): readonly string[] {
  const inner = Object.entries(schema.properties ?? {}).flatMap(([key, value]) => {
    const path = above === '' ? key : `${above}.${key}`;
    return [path, ...keysOf(value, path)];
  });
  const free = typeof schema.additionalProperties === 'object' ? keysOf(schema.additionalProperties, `${above}.*`) : [];
  const list = schema.items === undefined ? [] : keysOf(schema.items, `${above}[]`);
  const choices = [...(schema.anyOf ?? []), ...(schema.oneOf ?? []), ...(schema.allOf ?? [])];
  return [...new Set([...inner, ...free, ...list, ...choices.flatMap((choice) => keysOf(choice, above))])];
}

function schemaKeys(name: string): readonly string[] {
  return keysOf(JSON.parse(readFileSync(join(root, `config/schema/${name}.json`), 'utf8')));
}

/** Paths of a value as YAML gives it. */
function pathsIn(value: unknown, above: string): readonly string[] {
  if (Array.isArray(value)) return value.flatMap((one) => pathsIn(one, `${above}[]`));
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => {
    const path = above === '' ? key : `${above}.${key}`;
    return [path, ...pathsIn(inner, path)];
  });
}

/** Paths of an example, remarks that hold a key counted: a remark shows what could stand there. */
function pathsShown(text: string): readonly string[] {
  const open: { indent: number; path: string }[] = [];
  return text.split('\n').flatMap((line) => {
    const [, before = '', behind = ''] = /^(\s*#?.*?)(?:\s+#\s*(.*))?$/.exec(line) ?? [];
    const bare = before.replace(/^(\s*)# ?/, '$1');
    const [, blanks = '', dash = '', key, value = ''] = /^(\s*)(- )?([A-Za-z][\w-]*):(?:\s+(.*))?$/.exec(bare) ?? [];
    const entry = /^(\s*)- (\{.*\})$/.exec(bare);
    const indent = (entry?.[1] ?? blanks).length;
    if (key === undefined && entry === null) return [];
    const isEntry = dash !== '' || entry !== null;
    while ((open.at(-1)?.indent ?? -1) >= indent) {
      if (isEntry && open.at(-1)?.indent === indent && open.at(-1)?.path.endsWith('[]')) break;
      open.pop();
    }
    if (isEntry && !(open.at(-1)?.path ?? '').endsWith('[]'))
      open.push({ indent, path: `${open.at(-1)?.path ?? ''}[]` });
    const above = open.at(-1)?.path ?? '';
    if (key === undefined) return pathsIn(parse(entry?.[2] ?? ''), above);
    const path = above === '' ? key : `${above}.${key}`;
    open.push({ indent: indent + dash.length, path });
    // `passwordFile: x   # or passwordEnv: Y` shows two keys.
    const other = /^or (\w+):/.exec(behind)?.[1];
    const beside = other === undefined ? [] : [above === '' ? other : `${above}.${other}`];
    return [path, ...beside, ...(/^[[{]/.test(value) ? pathsIn(parse(value), path) : [])];
  });
}

/** A shown path matches where it has any key for a `*`. */
function isShown(key: string, shown: readonly string[]): boolean {
  const shape = new RegExp(`^${key.replace(/[.[\]]/g, '\\$&').replaceAll('*', '[\\w-]+')}$`);
  return shown.some((path) => shape.test(path));
}

const exampleHome = join(root, 'config/example-home');
const machineFiles = readdirSync(join(exampleHome, 'machines')).map((name) =>
  readFileSync(join(exampleHome, 'machines', name), 'utf8'),
);
const shown = {
  household: pathsShown(readFileSync(join(exampleHome, 'household.yaml'), 'utf8')),
  machine: machineFiles.flatMap(pathsShown),
};

test.each(['household', 'machine'] as const)('every key of a %s is shown in the example home', (name) => {
  const keys = schemaKeys(name).filter((key) => !key.startsWith('tasks.*.'));
  expect(keys.length).toBeGreaterThan(20);
  expect(keys.filter((key) => !isShown(key, shown[name]))).toEqual([]);
});

test.each(['household', 'machine'] as const)('the example of a %s shows no key that is not there', (name) => {
  const keys = schemaKeys(name);
  const known = (path: string) => keys.some((key) => isShown(key, [path]));
  // Keys that an owner chooses, such as the id of a task, are in no schema.
  const chosen = /^(last|never|tasks)\.[\w-]+$/;
  expect(shown[name].filter((path) => !chosen.test(path) && !known(path))).toEqual([]);
});

test('every key that a task may set anew is shown in the example home or by a plan of the library', () => {
  const keys = schemaKeys('machine').filter((key) => key.startsWith('tasks.*.'));
  expect(keys.length).toBeGreaterThan(60);
  const seen = [...shown.machine, ...inPlans()];
  expect(keys.filter((key) => !isShown(asShown(key), seen))).toEqual([]);
});

test('every key of a task is named in the example’s remark about them', () => {
  const remark = /any key of the plan's task may be set:([^.]*)\./.exec(machineFiles.join('\n'))?.[1] ?? '';
  const named = new Set(remark.match(/[a-z]\w*/gi));
  const keys = schemaKeys('machine').filter((key) => /^tasks\.\*\.\w+$/.test(key));
  const own = keys.map((key) => key.slice('tasks.*.'.length));
  expect(own.length).toBeGreaterThan(20);
  expect(own.filter((key) => !named.has(key))).toEqual([]);
});

test('what the remarks say about own values passes the check as it stands there', () => {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-example-'));
  onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
  cpSync(exampleHome, dir, { recursive: true });
  const file = join(dir, 'machines/hill-tractor.yaml');
  const text = readFileSync(file, 'utf8');
  const from = text.indexOf('\n# tasks:');
  expect(from).toBeGreaterThan(0);
  writeFileSync(file, text.slice(0, from) + text.slice(from).replace(/^# ?(?=[a-z ])/gm, ''));
  const read = loadHome(dir, {});
  expect(read.kind === 'faults' ? read.faults.map((fault) => fault.line) : []).toEqual([]);
  const machines = read.kind === 'faults' ? [] : read.home.machines;
  const belt = machines.find(({ id }) => id === 'hill-tractor')?.tasks.find(({ id }) => id === 'fan-belt');
  expect(belt?.first).toEqual({ hours: 50, months: 12 });
});

test('no group is listed as shown elsewhere for nothing', () => {
  const keys = schemaKeys('machine');
  expect(shownElsewhere.filter((group) => !keys.some((key) => group.keys.test(key)))).toEqual([]);
});

/** Paths of every plan of the library, as those of a machine's tasks. */
function inPlans(): readonly string[] {
  const folder = join(root, 'config/plans');
  return readdirSync(folder)
    .flatMap((name) => pathsIn(parse(readFileSync(join(folder, name), 'utf8')), ''))
    .map((path) => path.replace(/^tasks\[\]/, 'tasks.any'));
}
