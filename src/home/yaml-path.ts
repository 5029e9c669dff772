import { isMap, isNode, isScalar, isSeq, LineCounter, parseDocument } from 'yaml';
import type { KeyPath } from './read-yaml.js';

/** The path of the value that begins at a line and column, as places of faults name it; of the innermost value around it where none
 *  begins just there. Empty for the whole file.
 *  @param line    from 1
 *  @param column  from 1 */
export function pathAt(text: string, line: number, column: number): KeyPath {
  const lines = new LineCounter();
  const { contents } = parseDocument(text, { lineCounter: lines, logLevel: 'silent' });
  const offset = (lines.lineStarts[line - 1] ?? 0) + column - 1;
  let found: KeyPath = [];
  let isExact = false;
  const look = (node: unknown, path: KeyPath, keyFrom: number | null): void => {
    if (!isNode(node) || !node.range) return;
    const [from, to] = node.range;
    // An empty value has its place at its key.
    const begins = isScalar(node) && node.value === null && from === to ? (keyFrom ?? from) : from;
    if (begins === offset && !isExact) {
      found = path;
      isExact = true;
    } else if (!isExact && (keyFrom ?? from) <= offset && offset < to) found = path;
    if (isMap(node)) {
      for (const { key, value } of node.items)
        if (isScalar(key)) look(value, [...path, String(key.value)], key.range?.[0] ?? null);
    }
    if (isSeq(node)) for (const [index, item] of node.items.entries()) look(item, [...path, index], null);
  };
  look(contents, [], null);
  return found;
}
