import type { ValueChange } from '../../domain/home-change.js';
import { type Field, type Values, valueAt } from './fields.js';

/** Where the machine's file says something of a part, fluid or measurement. */
export interface OwnEntry {
  /** The path of one of its values. */
  at(...key: (string | number)[]): ValueChange['path'];
  /** For a field of it, where the file says nothing of it yet. */
  readonly entry: Pick<Field, 'entry'>;
  readonly isThere: boolean;
  /** A tick that takes out what the file says of it: none where it says nothing. */
  out(name: string, about: Pick<Field, 'section' | 'item'>): readonly Field[];
}

/** Finds the entry of a list of the machine's file as the file itself is read: by name in any case of letters, or by id.
 *  @param place  of a new entry among those that may be added, from 0: so that each has a path of its own */
export function ownEntry(
  values: Values,
  list: ValueChange['path'],
  key: 'name' | 'id',
  is: string,
  place: number,
): OwnEntry {
  const own = valueAt(values ?? undefined, list);
  const entries = Array.isArray(own) ? own : [];
  const found = entries.findIndex((one) => {
    const called = valueAt(one, [key]);
    return typeof called === 'string' && (key === 'id' ? called === is : called.toLowerCase() === is.toLowerCase());
  });
  const index = found >= 0 ? found : entries.length + place;
  return {
    at: (...inner) => [...list, index, ...inner],
    entry: found >= 0 ? {} : { entry: { list, begins: { [key]: is } } },
    isThere: found >= 0,
    out: (name, about) =>
      found < 0
        ? []
        : [
            {
              name,
              label: 'Take out what this machine’s file says of it: what the plan says of it counts again, if anything',
              kind: 'out',
              path: [...list, index],
              ...about,
            },
          ],
  };
}
