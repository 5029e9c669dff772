import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { loadHome } from './load-home.js';
import { schemaFiles, schemaFolder } from './schemas.js';

const example = fileURLToPath(new URL('../../config/example-home/', import.meta.url));

describe('the JSON Schemas', () => {
  it.each([...schemaFiles().keys()])('%s in config/schema is what the code says (npm run schemas)', (name) => {
    expect(readFileSync(join(schemaFolder, name), 'utf8')).toBe(schemaFiles().get(name));
  });

  it('describe every key', () => {
    for (const [name, text] of schemaFiles()) {
      for (const { path, schema } of keysOf(JSON.parse(text))) {
        expect(schema.description ?? schema.const, `${name} ${path}`).toBeTruthy();
      }
    }
  });
});

describe('the example home', () => {
  it.each([
    ['household.json', 'household.yaml'],
    ['machine.json', 'machines/hill-tractor.yaml'],
  ])('shows every key of %s', (schema, file) => {
    const text = readFileSync(join(example, file), 'utf8');
    const missing = keysOf(JSON.parse(schemaFiles().get(schema) ?? '{}'))
      .filter(({ path }) => !path.startsWith('tasks.') || path.split('.').length === 3)
      .filter(({ key }) => !new RegExp(`\\b${key}\\b`).test(text));
    expect(missing.map(({ path }) => path)).toEqual([]);
  });

  it('holds remarks that are right when the # is taken away', () => {
    const dir = mkdtempSync(join(tmpdir(), 'shedbell-remarks-'));
    mkdirSync(join(dir, 'secrets'));
    writeFileSync(join(dir, 'secrets', 'mail'), 'a\n');
    writeFileSync(join(dir, 'secrets', 'broker'), 'b\n');
    writeFileSync(join(dir, 'secrets', 'ca.pem'), '-----BEGIN CERTIFICATE-----\n');
    const text = readFileSync(join(example, 'household.yaml'), 'utf8');
    writeFileSync(
      join(dir, 'household.yaml'),
      text.replace(/^(\s*)# (?=[a-z][A-Za-z]*:|\s+[a-z][A-Za-z]*: | {2}- |- )/gm, '$1'),
    );
    const read = loadHome(dir);
    if (read.kind !== 'home') throw new Error(read.faults.map(({ line }) => line).join('\n'));
    expect(read.home.household).toMatchObject({
      address: 'http://shed.local:8377',
      coldestCelsius: -12,
      smtp: { password: 'a', port: 587 },
      mqtt: { password: 'b', protocol: '3.1.1' },
      frost: { first: '10-20', last: '04-25' },
    });
    expect(read.home.household.people).toHaveLength(2);
    expect(read.home.household.daysOff).toHaveLength(2);
  });
});

interface Json {
  readonly [key: string]: unknown;
}

/** Every key that the schema names, with its path; entries of lists and maps share the path of their list. */
function keysOf(schema: Json, path = ''): { path: string; key: string; schema: Json }[] {
  const properties = asJson(schema.properties);
  const here = Object.entries(properties).flatMap(([key, value]) => [
    { path: `${path}${key}`, key, schema: asJson(value) },
    ...keysOf(asJson(value), `${path}${key}.`),
  ]);
  const within = ['anyOf', 'oneOf', 'allOf'].flatMap((word) => {
    const options = schema[word];
    return Array.isArray(options) ? options.filter(isJson).flatMap((option) => keysOf(option, path)) : [];
  });
  const entries = (['items', 'additionalProperties'] as const).flatMap((word) =>
    isJson(schema[word]) ? keysOf(schema[word], word === 'items' ? path : `${path}ID.`) : [],
  );
  return [...here, ...within, ...entries];
}

function isJson(value: unknown): value is Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function asJson(value: unknown): Json {
  return isJson(value) ? value : {};
}
