/** The value at an RFC 6901 pointer in parsed JSON; own members only, so that no name reaches what JavaScript adds to objects.
 *  @param document  what JSON.parse gave
 *  @param pointer   empty for the whole document, else `/name/0/…` with `~1` for `/` and `~0` for `~`
 *  @returns         the value, or `undefined` where nothing stands there (JSON itself has no undefined)
 *  Source: RFC 6901 sections 3 to 6; an index has no leading zero, and `-` (the element after the last) is nothing on reading. */
export function valueAt(document: unknown, pointer: string): unknown {
  if (pointer === '') return document;
  let here: unknown = document;
  for (const token of pointer.split('/').slice(1)) {
    const name = token.replaceAll('~1', '/').replaceAll('~0', '~');
    if (typeof here !== 'object' || here === null) return undefined;
    if (Array.isArray(here) && !/^(0|[1-9]\d*)$/.test(name)) return undefined;
    if (!Object.hasOwn(here, name)) return undefined;
    here = Reflect.get(here, name);
  }
  return here;
}
