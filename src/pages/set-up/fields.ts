import type { Plain, ValueChange } from '../../domain/home-change.js';
import type { Form } from '../guard/form.js';

/** One value of a file, as a form asks for it. */
export interface Field {
  readonly name: string;
  readonly label: string;
  /** What counts without it, or an example. */
  readonly help?: string;
  readonly kind: 'text' | 'number' | 'day' | 'time' | 'choice' | 'several';
  readonly options?: readonly Option[];
  readonly path: ValueChange['path'];
  /** Written instead of taking the key out when the field is left empty. */
  readonly whenEmpty?: Plain;
  /** What the form shows where the file says nothing, such as the plan's own value. */
  readonly shown?: string;
  readonly isRequired?: boolean;
}

/** A value to choose, and how it is called. */
export interface Option {
  readonly value: string;
  readonly text: string;
}

type Values = { readonly [key: string]: Plain } | null;

/** What stands at a path of a file; undefined where nothing does. */
export function valueAt(values: Plain | undefined, path: ValueChange['path']): Plain | undefined {
  return path.reduce<Plain | undefined>((value, step) => {
    if (typeof value !== 'object' || value === null) return undefined;
    return Object.hasOwn(value, step) ? (value as { readonly [key: string]: Plain })[step] : undefined;
  }, values);
}

/** What a field shows of a file: one text, or several where several may be ticked. */
export function shownOf(field: Field, values: Values): readonly string[] {
  const value = field.path.length === 0 ? undefined : valueAt(values ?? undefined, field.path);
  // What is written for "left empty" is shown as it was left.
  if (value !== undefined && value === field.whenEmpty) return [];
  if (value === undefined || value === null) return field.shown === undefined ? [] : [field.shown];
  if (Array.isArray(value)) return value.map(String);
  return typeof value === 'object' ? [] : [String(value)];
}

/** What a sent form changes in a file: only what differs from what the form showed.
 *  A number that cannot be read is passed on as typed, so that the file's own rules say what would be right. */
export function changesOf(fields: readonly Field[], form: Form, values: Values): readonly ValueChange[] {
  return fields.flatMap((field): readonly ValueChange[] => {
    const typed =
      field.kind === 'several' ? form.all(field.name) : [form.text(field.name)].filter((text) => text !== '');
    const shown = shownOf(field, values);
    if (typed.length === shown.length && typed.every((text) => shown.includes(text))) return [];
    return [{ path: field.path, value: typed.length === 0 ? field.whenEmpty : plainOf(field, typed) }];
  });
}

function plainOf(field: Field, typed: readonly string[]): Plain {
  const [text = ''] = typed;
  if (field.kind === 'several') return typed;
  if (field.kind !== 'number') return text;
  // 1,250 may be a thousand or one and a quarter: what can be read in two ways is left to be refused.
  if (/^\d{1,3}(,\d{3})+$/.test(text)) return text;
  const plain = text.replace(',', '.');
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : text;
}
