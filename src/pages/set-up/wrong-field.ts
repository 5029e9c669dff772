import type { WrongValue } from '../../domain/home-change.js';
import type { Form } from '../guard/form.js';
import { type Edit, type Field, isBelow } from './fields.js';

/** The field that a fault of the file is about: the one that writes this value; else one that was changed beneath or around it. Null
 *  where the form asks for nothing of the kind. */
export function wrongField(
  { fault, path }: WrongValue,
  { fields, edits, form }: { readonly fields: readonly Field[]; readonly edits: readonly Edit[]; readonly form: Form },
): Field | null {
  // The page's own faults name the field.
  const named = fields.find(({ name }) => name === fault.place);
  if (named !== undefined) return named;
  // What is said of the whole file, such as that it changed meanwhile, is about no field.
  if (path.length === 0 && fault.place === undefined) return null;
  const standing = fields.filter(({ entry }) => entry === undefined);
  const own = standing.filter((field) => field.path.length > 0 && isBelow(path, field.path));
  if (own.length > 0) return own.reduce((best, one) => (one.path.length > best.path.length ? one : best));
  const isWanted = ({ isRequired, name }: Field) => isRequired === true && form.text(name) === '';
  const missing = fields.find((field) => isWanted(field) && isBelow(field.entry?.list ?? field.path, path));
  const missingInNew = fields.find((field) => isWanted(field) && field.entry && isBelow(path, field.entry.list));
  if (missing !== undefined || missingInNew !== undefined) return missing ?? missingInNew ?? null;
  const edit = edits.find((one) => isBelow(path, one.path)) ?? edits.find((one) => isBelow(one.path, path));
  if (edit === undefined) return null;
  const last = String(path.at(-1));
  return (
    edit.fields.find((field) => isBelow(path, edit.path) && String(field.path.at(-1)) === last) ??
    edit.fields.find(isWanted) ??
    edit.fields[0] ??
    null
  );
}
