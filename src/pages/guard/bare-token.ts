/** The token of a link as it came in an address, without what mail programs catch behind it: a full stop, a bracket, words.
 *  Read from its beginning, as looking for the end of a run of such signs takes time with the square of its length, and anybody
 *  may send an address. */
export function bareToken(text: string): string {
  return /^[A-Za-z0-9_-]{0,2000}/.exec(text)?.[0] ?? '';
}
