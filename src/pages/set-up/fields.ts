import type { Plain, ValueChange } from '../../domain/home-change.js';
import type { Form } from '../guard/form.js';

type Path = ValueChange['path'];

/** One value of a file, as a form asks for it. */
export interface Field {
  readonly name: string;
  readonly label: string;
  /** What counts without it, or an example. */
  readonly help?: string;
  /** `lines`: a list, one entry a line. `out`: a tick that takes out what the file says at the path, and all that stands below it. */
  readonly kind: 'text' | 'number' | 'day' | 'time' | 'choice' | 'several' | 'yes-no' | 'password' | 'lines' | 'out';
  readonly options?: readonly Option[];
  readonly path: Path;
  /** Written instead of taking the key out when the field is left empty. */
  readonly whenEmpty?: Plain;
  /** What the form shows where the file says nothing, such as the plan's own value. */
  readonly shown?: string;
  readonly isRequired?: boolean;
  /** Wants half a line beside its neighbours of the same item. */
  readonly isShort?: boolean;
  /** Heading that it stands under, and the thing among others of its kind, such as one of several parts. */
  readonly section?: string;
  readonly item?: string;
  /** An entry that the file's list does not have yet: the list, and what the entry begins with. Its `path` leads through it. */
  readonly entry?: { readonly list: Path; readonly begins: { readonly [key: string]: Plain } };
  /** Of `lines`: what stands in the list now, with the line that each entry is shown as. An entry whose line stays keeps all else that
   *  is said of it. */
  readonly entries?: readonly { readonly line: string; readonly value: Plain }[];
  /** A map or a list of maps that is written as a whole, as soon as one value in it differs. */
  readonly whole?: Path;
}

/** A value to choose, and how it is called. */
export interface Option {
  readonly value: string;
  readonly text: string;
}

/** A change of a file, and the fields that ask for it. */
export interface Edit extends ValueChange {
  readonly fields: readonly Field[];
}

export type Values = { readonly [key: string]: Plain } | null;

/** What stands at a path of a file; undefined where nothing does. */
export function valueAt(values: Plain | undefined, path: Path): Plain | undefined {
  return path.reduce<Plain | undefined>((value, step) => {
    if (typeof value !== 'object' || value === null) return undefined;
    return Object.hasOwn(value, step) ? (value as { readonly [key: string]: Plain })[step] : undefined;
  }, values);
}

/** What a field shows of a file: one text, or several where several may be ticked. */
export function shownOf(field: Field, values: Values): readonly string[] {
  if (field.kind === 'password' || field.kind === 'out') return [];
  if (field.entries !== undefined) return field.entries.map(({ line }) => line);
  const stands = field.path.length > 0 && field.entry === undefined && field.whole === undefined;
  const value = stands ? valueAt(values ?? undefined, field.path) : undefined;
  // What is written for "left empty" is shown as it was left.
  if (value !== undefined && value === field.whenEmpty) return [];
  if (value === undefined || value === null) return field.shown === undefined ? [] : [field.shown];
  if (Array.isArray(value)) return value.map(String);
  return typeof value === 'object' ? [] : [String(value)];
}

/** What a field shows beside what the file says; nothing where there is nothing to show. */
export function showing(value: string | number | boolean | undefined): { readonly shown?: string } {
  return value === undefined || value === '' ? {} : { shown: String(value) };
}

/** What a sent form changes in a file: only what differs from what the form showed.
 *  A number that cannot be read is passed on as typed, so that the file's own rules say what would be right. */
export function changesOf(fields: readonly Field[], form: Form, values: Values): readonly Edit[] {
  const edits: Edit[] = [];
  const places = new Map<string, Path>();
  for (const field of fields.filter((one) => isChanged(one, form, values))) {
    const together = field.whole;
    if (together !== undefined && edits.some(({ fields: [first] }) => first?.whole === together)) continue;
    const group = together === undefined ? [field] : fields.filter(({ whole }) => whole === together);
    const path = together ?? field.path;
    const value = together === undefined ? valueTyped(field, form) : wholeTyped(group, together, form);
    const { entry } = field;
    if (entry === undefined) edits.push({ path, value, fields: group });
    else if (value !== undefined) addToEntry(edits, entry, { path, value, fields: group }, { places, values });
  }
  return withoutTakenOut(edits);
}

/** What is taken out is changed no further; and it goes last, from the end of its list, so that no place moves before its turn. */
function withoutTakenOut(edits: readonly Edit[]): readonly Edit[] {
  const out = edits.filter(({ fields }) => fields[0]?.kind === 'out');
  const others = edits.filter((edit) => !out.some(({ path }) => isBelow(edit.path, path)));
  return [...others, ...out.toSorted((one, other) => Number(other.path.at(-1)) - Number(one.path.at(-1)))];
}

function typedIn({ kind, name }: Field, form: Form): readonly string[] {
  if (kind === 'lines') return linesIn(form.text(name));
  if (kind === 'out') return form.text(name) === 'yes' ? ['yes'] : [];
  return kind === 'several' ? [...new Set(form.all(name))] : [form.text(name)].filter((text) => text !== '');
}

function isChanged(field: Field, form: Form, values: Values): boolean {
  // What the form did not ask, such as of an older page, is no change.
  if (field.kind === 'password' || (field.kind !== 'several' && !form.has(field.name))) return false;
  const typed = typedIn(field, form);
  const shown = shownOf(field, values);
  if (field.kind === 'lines') return typed.join('\n') !== shown.join('\n');
  return typed.length !== shown.length || !typed.every((text) => shown.includes(text));
}

/** The lines of a text that say something, without blanks at their ends. */
export function linesIn(text: string): readonly string[] {
  return text.split('\n').flatMap((line) => (line.trim() === '' ? [] : [line.trim()]));
}

/** A list of the lines that were typed. An entry that stays keeps what is said of it beyond its line; where none was added or taken
 *  out, one whose line was changed keeps it too. */
function entriesTyped(typed: readonly string[], entries: NonNullable<Field['entries']>): Plain {
  const unused = [...entries];
  const same = typed.map((line) => {
    const at = unused.findIndex((entry) => entry.line === line);
    return at < 0 ? undefined : unused.splice(at, 1)[0];
  });
  return typed.map((line, at): Plain => {
    const kept = same[at]?.value;
    if (kept !== undefined) return kept;
    const was = entries[at];
    const isChanged = typed.length === entries.length && was !== undefined && unused.includes(was);
    return isChanged && isMap(was.value) ? { ...was.value, do: line } : line;
  });
}

function valueTyped(field: Field, form: Form): Plain | undefined {
  if (field.kind === 'out') return undefined;
  const typed = typedIn(field, form);
  if (field.kind === 'lines' && typed.length > 0) return entriesTyped(typed, field.entries ?? []);
  return typed.length === 0 ? field.whenEmpty : plainOf(field, typed);
}

/** A typed text as the file holds it: a number where a number is asked for and one can be read. */
export function plainOf({ kind }: Pick<Field, 'kind'>, typed: readonly string[]): Plain {
  const [text = ''] = typed;
  if (kind === 'several') return typed;
  if (kind === 'yes-no') return text === 'true';
  if (kind !== 'number') return text;
  // 1,250 may be a thousand or one and a quarter: what can be read in two ways is left to be refused.
  if (/^\d{1,3}(,\d{3})+$/.test(text)) return text;
  const plain = text.replace(',', '.');
  // So many digits that no number holds them are left to be refused, too.
  return /^-?\d+(\.\d+)?$/.test(plain) && Number.isFinite(Number(plain)) ? Number(plain) : text;
}

/** A map, or a list of maps, of everything that was typed for it; rows without anything are left out. */
function wholeTyped(fields: readonly Field[], whole: Path, form: Form): Plain | undefined {
  const rows = new Map<string | number, { [key: string]: Plain }>();
  let isList = false;
  for (const field of fields) {
    const value = valueTyped(field, form);
    if (value === undefined) continue;
    const inner = field.path.slice(whole.length);
    isList ||= inner.length > 1;
    const row = inner.length > 1 ? (inner[0] ?? 0) : 0;
    rows.set(row, { ...rows.get(row), [String(inner.at(-1))]: value });
  }
  if (rows.size === 0) return undefined;
  return isList ? [...rows.values()] : [...rows.values()][0];
}

/** All that is said of a new entry is one change, and the entry comes behind those that are there or new already. */
function addToEntry(
  edits: Edit[],
  { list, begins }: NonNullable<Field['entry']>,
  { path, value, fields }: Edit & { readonly value: Plain },
  { places, values }: { readonly places: Map<string, Path>; readonly values: Values },
): void {
  const key = JSON.stringify(path.slice(0, list.length + 1));
  const own = valueAt(values ?? undefined, list);
  const inList = [...places.values()].filter((one) => one.length === list.length + 1 && isBelow(one, list)).length;
  const place = places.get(key) ?? [...list, (Array.isArray(own) ? own.length : 0) + inList];
  places.set(key, place);
  const at = edits.findIndex((edit) => edit.path === place);
  const before = edits[at];
  const entry = within(before?.value ?? begins, path.slice(list.length + 1), value);
  const edit = { path: place, value: entry, fields: [...(before?.fields ?? []), ...fields] };
  if (at < 0) edits.push(edit);
  else edits[at] = edit;
}

/** A map with one value more, in maps of their own as the path says. */
function within(map: Plain, [key, ...rest]: Path, value: Plain): Plain {
  if (key === undefined) return value;
  const base = isMap(map) ? map : {};
  const inner = base[String(key)];
  return { ...base, [String(key)]: rest.length === 0 ? value : within(inner ?? {}, rest, value) };
}

function isMap(value: Plain | undefined): value is { readonly [key: string]: Plain } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** Whether one path is the other, or lies below it. */
export function isBelow(path: Path, above: Path): boolean {
  return above.length <= path.length && above.every((step, index) => String(step) === String(path[index]));
}
