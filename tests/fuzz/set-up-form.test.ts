import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, expect, test } from 'vitest';
import { parse } from 'yaml';
import { parseZone } from '../../src/domain/day.js';
import type { Machine } from '../../src/domain/machine.js';
import { parseQuantity } from '../../src/domain/quantity.js';
import { changeYaml } from '../../src/home/change-yaml.js';
import { loadMachine } from '../../src/home/load-machine.js';
import { libraryPlans, loadLibraryPlan } from '../../src/home/plan-library.js';
import type { Form } from '../../src/pages/guard/form.js';
import { changesOf, type Field, shownOf, type Values } from '../../src/pages/set-up/fields.js';
import { taskFields } from '../../src/pages/set-up/task-fields.js';

const dir = mkdtempSync(join(tmpdir(), 'shedbell-form-'));
const file = join(dir, 'machine.yaml');
afterAll(() => rmSync(dir, { recursive: true, force: true }));

const plans = libraryPlans().flatMap((name) => {
  const read = loadLibraryPlan(name);
  return read.kind === 'plan' ? [read.plan] : [];
});
const shelf = {
  find: (name: string) =>
    plans.map((plan) => ({ kind: 'plan' as const, plan })).find(({ plan }) => plan.id === name) ?? null,
  names: plans.map(({ id }) => id),
};

function machineOf(text: string): Machine | null {
  writeFileSync(file, text);
  const read = loadMachine('machine', file, shelf, parseZone('Europe/Lisbon'), null);
  return read.kind === 'machine' ? read.machine : null;
}

function fieldsIn(text: string, task: string): { readonly fields: readonly Field[]; readonly values: Values } | null {
  const found = machineOf(text)?.tasks.find(({ id }) => id === task);
  const values = parse(text) as Values;
  return found === undefined ? null : { fields: taskFields(found, values), values };
}

/** A form that was sent with these texts. */
function sent(texts: ReadonlyMap<string, string>): Form {
  const text = (name: string) => texts.get(name) ?? '';
  return {
    key: 'k'.repeat(8),
    text,
    optional: (name) => texts.get(name) ?? null,
    all: (name) => [text(name)],
    has: (name) => texts.has(name),
    entries: () => [...texts],
    day: () => null,
  };
}

const shownText = (field: Field, values: Values) => shownOf(field, values)[0] ?? '';

/** Words that YAML would read as something else, or that end a line, a key or a remark there. */
const words = fc.constantFrom(
  '12-345',
  '0012',
  '1e3',
  'true',
  'null',
  '~',
  'a: b',
  'x # y',
  "it's",
  '"so"',
  '[a, b]',
  '{c}',
  '- d',
  '*e',
  '&f',
  '!g',
  '%h',
  '@i',
  '`j',
  'ü 2026-11-27',
  'yes',
  '0x1F',
  ': k',
  'l:',
);
const count = fc.integer({ min: 1, max: 200 });

/** What somebody may type into a field: another value of its kind, or nothing. */
function typing(field: Field, values: Values): fc.Arbitrary<string> {
  const shown = shownText(field, values);
  const unit = unitOf(shown);
  const key = String(field.path.at(-1));
  if (field.options !== undefined) return fc.constantFrom(...field.options.map(({ value }) => value));
  if (field.kind === 'yes-no') return fc.constantFrom('true', 'false');
  if (field.kind === 'number') return fc.oneof(count.map(String), fc.constantFrom('', '0'));
  if (key === 'before') return fc.constantFrom('10-20', 'last-frost');
  if (key === 'coldest' || key === 'nightsBelow') return count.map((n) => `-${n} C`);
  if (unit !== null)
    return fc.oneof(
      count.map((n) => `${n} ${unit}`),
      count.map((n) => `${n} 1/2 ${unit}`),
      fc.constant(''),
    );
  return fc.oneof(words, fc.constant(''));
}

function unitOf(shown: string): string | null {
  try {
    return parseQuantity(shown).unit;
  } catch {
    return null;
  }
}

/** The same field of another moment: names count the things of a form, and one that is left out goes to the end. */
const keyOf = ({ item = '', name }: Field) => `${item}|${name.replace(/\d+/, '')}`;

const remarks = ['# A machine of our own.', '    # from the manual', '# the end'];
const begins = (plan: string, has: readonly string[], task: string) => `${remarks[0]}
name: Bank tractor
plan: ${plan}
since: 2026-04-11
has: [${has.join(', ')}]
last: unknown
tasks:
  ${task}:
${remarks[1]}
    notes: [the left one is tight]   # since spring
    tools: [17 mm socket]
${remarks[2]}
`;

const cases = plans.flatMap((plan) =>
  plan.tasks.filter(({ every }) => every !== 'use').map((task) => ({ plan, task: task.id })),
);

test('what a job’s form writes passes check and is what the form shows next; whatever else the file says stays', () => {
  let accepted = 0;
  fc.assert(
    fc.property(fc.constantFrom(...cases), fc.infiniteStream(fc.nat()), ({ plan, task }, dice) => {
      const roll = () => dice.next().value ?? 0;
      let text = begins(plan.id, plan.fittings, task);
      const asPlanned = fieldsIn(text, task);
      if (asPlanned === null) return;
      const planShows = new Map(asPlanned.fields.map((field) => [keyOf(field), shownText(field, asPlanned.values)]));
      for (let turn = 0; turn < 3; turn += 1) {
        const before = fieldsIn(text, task);
        if (before === null) throw new Error(text);
        const texts = new Map(before.fields.map((field) => [field.name, shownText(field, before.values)]));
        expect(changesOf(before.fields, sent(texts), before.values), text).toEqual([]);
        const typed = new Set<string>();
        for (const field of before.fields) {
          if (field.name === 'never' || field.kind === 'out' || roll() % 4 > 0) continue;
          texts.set(field.name, fc.sample(typing(field, before.values), { numRuns: 1, seed: roll() })[0] ?? '');
          typed.add(field.name);
        }
        const written = changeYaml(text, changesOf(before.fields, sent(texts), before.values));
        for (const remark of remarks) expect(written).toContain(remark);
        // What is refused is not written.
        if (machineOf(written) === null) continue;
        accepted += 1;
        const after = fieldsIn(written, task);
        if (after === null) throw new Error(written);
        const own = (after.values as { tasks: Record<string, unknown> }).tasks[task];
        expect(own).toMatchObject({ notes: ['the left one is tight'], tools: ['17 mm socket'] });
        const shows = new Map(after.fields.map((field) => [keyOf(field), shownText(field, after.values)]));
        const isOut = (item: string | undefined) =>
          item !== undefined &&
          before.fields.some(
            (field) =>
              field.item === item &&
              /^(count|quantity)/.test(field.name) &&
              /^0( |$)/.test(texts.get(field.name) ?? ''),
          );
        const maxTyped = (name: string) => (texts.get(name.replace('belowColdest', 'max')) ?? '') !== '';
        for (const field of before.fields) {
          if (isOut(field.item) || field.whole !== undefined) continue;
          // A limit of the owner's own ends the following of the cold, where that was not written as well.
          if (field.name.endsWith('-belowColdest') && !typed.has(field.name) && maxTyped(field.name)) continue;
          const value = texts.get(field.name) ?? '';
          const emptied = field.whenEmpty === undefined ? (planShows.get(keyOf(field)) ?? '') : '';
          expect(shows.get(keyOf(field)), `${field.name} in\n${written}`).toBe(value === '' ? emptied : value);
        }
        const rowsOf = (fields: readonly Field[], show: (field: Field) => string) =>
          fields
            .filter(({ whole, item }) => whole !== undefined && !isOut(item))
            .map(show)
            .filter((value) => value !== '');
        const typedRows = rowsOf(before.fields, ({ name }) => texts.get(name) ?? '');
        const isEmptied = before.fields.some(
          ({ whole, name }) => whole !== undefined && texts.get(name) === '' && typed.has(name),
        );
        // All rows taken out give way to the plan's.
        if (!isEmptied)
          expect(
            rowsOf(after.fields, (field) => shownText(field, after.values)),
            written,
          ).toEqual(typedRows);
        text = written;
      }
    }),
    { numRuns: 60 },
  );
  expect(accepted).toBeGreaterThan(50);
});
