/** A rule of the domain that a plan or machine breaks, as data: the reader of the file adds the place. */
export interface Breach {
  /** Stable code in kebab-case. */
  readonly code: string;
  /** Plain words, one sentence without its full stop. */
  readonly message: string;
  /** The value found, already fit for showing. */
  readonly found?: string;
  /** What would be right. */
  readonly remedy: string;
  /** Keys and indices from the thing that was checked down to the value, as they stand in the file. */
  readonly path: readonly (string | number)[];
  /** The last key of the path itself is wrong, not the value behind it. */
  readonly isKey?: boolean;
}

/** The same breaches seen from further up: `path` is put before each of theirs.
 *  @param path      from the outer thing to the one that was checked
 *  @param breaches  as the inner rule returned them */
export function under(path: readonly (string | number)[], breaches: readonly Breach[]): Breach[] {
  return breaches.map((breach) => ({ ...breach, path: [...path, ...breach.path] }));
}
