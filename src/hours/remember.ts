/** The value kept under a key, made and kept where there is none yet.
 *  @param memory  changes; lives as long as one computation */
export function remember<K, V>(memory: Map<K, V>, key: K, make: () => V): V {
  const known = memory.get(key);
  if (known !== undefined) return known;
  const made = make();
  memory.set(key, made);
  return made;
}
