/** So many places are enough for a person to find the right one. */
const mostPlaces = 3;
/** Objects inside each other that are looked into. */
const mostSteps = 3;
/** Names that can be read aloud; others are left out, so that no payload writes onto a terminal or a page. */
const sayableName = /^[\p{L}\p{N}_.-]{1,24}$/u;

/** Pointers to the single values in a JSON document, for a hint to whoever sets a sensor up: `/engine/seconds`.
 *  @param document  what JSON.parse gave
 *  @returns         at most three, in the order of the document; none for a list, a single value, or names that cannot be said
 *  Source: RFC 6901; that three are enough is common practice, no source. */
export function placesIn(document: unknown): readonly string[] {
  return placesBelow(document, '', mostSteps).slice(0, mostPlaces);
}

function placesBelow(value: unknown, pointer: string, steps: number): string[] {
  if (typeof value !== 'object' || value === null) return pointer === '' || value === null ? [] : [pointer];
  if (Array.isArray(value) || steps === 0) return [];
  const places: string[] = [];
  for (const [name, inner] of Object.entries(value)) {
    if (places.length >= mostPlaces) break;
    if (sayableName.test(name)) places.push(...placesBelow(inner, `${pointer}/${name}`, steps - 1));
  }
  return places;
}
