import { isDeepStrictEqual } from 'node:util';
import { isCollection, isMap, isPair, isScalar, isSeq, type Node, type Pair, parse, parseDocument } from 'yaml';
import { Fault } from '../domain/fault.js';
import type { Plain, ValueChange } from '../domain/home-change.js';

/** A YAML text with some values changed and every other byte as it was: remarks, order, quotes and blank lines stay.
 *  A new key comes last in its map, on a line of its own; a list item last in its list. What stands inside one pair of braces or
 *  brackets is written anew as a whole.
 *  @throws Fault yaml-unchangeable where the result would not read as the changed values */
export function changeYaml(text: string, changes: readonly ValueChange[]): string {
  const before: unknown = parseDocument(text).toJS() ?? {};
  const wanted = changes.reduce<unknown>((value, change) => changed(value, change.path, change.value), before);
  const written = changes.reduce(spliceOne, text);
  const after = parseDocument(written);
  if (after.errors.length > 0 || !isDeepStrictEqual(bare(after.toJS()), bare(wanted))) {
    throw new Fault({
      code: 'yaml-unchangeable',
      message: 'This file is written in a way that the page cannot change',
      remedy: 'Change it in an editor; shedbell check says whether it is right.',
    });
  }
  return written;
}

/** A value on one line, as it stands after its key; texts without quotes where they read as themselves. */
function writeValue(value: Plain): string {
  if (typeof value === 'string') return isPlain(value) ? value : JSON.stringify(value);
  if (value === null || typeof value !== 'object') return String(value);
  if (isList(value)) return `[${value.map(writeValue).join(', ')}]`;
  const pairs = Object.entries(value).map(([key, inner]) => `${writeValue(key)}: ${writeValue(inner)}`);
  return pairs.length === 0 ? '{}' : `{ ${pairs.join(', ')} }`;
}

function isPlain(text: string): boolean {
  return (
    /^[\p{L}\p{N}](?:[\p{L}\p{N} ./@%+_°-]|:(?=[^\s]))*$/u.test(text) && !text.endsWith(' ') && parse(text) === text
  );
}

function isList(value: Plain): value is readonly Plain[] {
  return Array.isArray(value);
}

function changed(value: unknown, path: ValueChange['path'], to: Plain | undefined): unknown {
  const [step, ...rest] = path;
  if (step === undefined) return to;
  // Nothing can be taken out of what is no collection.
  if (to === undefined && (typeof step === 'number' ? !Array.isArray(value) : !isRecord(value))) return value;
  if (typeof step === 'number') {
    const list = Array.isArray(value) ? [...value] : [];
    const inner = changed(list[step], rest, to);
    if (inner === undefined) list.splice(step, 1);
    else list[Math.min(step, list.length)] = inner;
    return list.length === 0 ? undefined : list;
  }
  const map: Record<string, unknown> = isRecord(value) ? { ...value } : {};
  const inner = changed(map[step], rest, to);
  if (inner === undefined) delete map[step];
  else map[step] = inner;
  return Object.keys(map).length === 0 && to === undefined ? undefined : map;
}

/** Without prototypes and `undefined`, for comparing. */
function bare(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value ?? {}));
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** What lies on the way to a value: each collection with the pair or item that the path takes. */
interface Step {
  readonly holder: Node;
  readonly key: string | number;
  readonly pair: Pair<unknown, unknown> | null;
  readonly node: Node | null;
}

function spliceOne(text: string, { path, value }: ValueChange): string {
  const root = parseDocument(text).contents;
  if (!isMap(root)) return value === undefined ? text : `${ended(text)}${nested(path, value)}\n`;
  const steps = walk(root, path);
  const last = steps.at(-1);
  if (last === undefined) return text;
  const flowAt = steps.findIndex(({ holder }) => isCollection(holder) && holder.flow === true);
  if (flowAt >= 0) {
    const first = steps[flowAt];
    if (first === undefined) return text;
    const inner = changed(plainOf(first.holder), path.slice(flowAt), value);
    return spliceOne(text, { path: path.slice(0, flowAt), value: inner as Plain | undefined });
  }
  const isThere = steps.length === path.length && (last.pair !== null || last.node !== null);
  if (value === undefined) return isThere ? takeOut(text, steps) : text;
  if (isThere) return replace(text, last, writeValue(value));
  const rest = path.slice(steps.length);
  const inside = rest.length === 0 ? value : (changed(undefined, rest, value) as Plain);
  // A scalar, or nothing at all, stands where a map is wanted.
  if (last.pair !== null || last.node !== null) return replace(text, last, writeValue(inside));
  return addTo(text, last, inside);
}

/** The steps as far as there are collections to take them in; the last one may find nothing. */
function walk(root: Node, path: ValueChange['path']): Step[] {
  const steps: Step[] = [];
  let holder: Node = root;
  for (const key of path) {
    let pair: Pair<unknown, unknown> | null = null;
    let node: unknown = null;
    if (isMap(holder)) {
      pair = holder.items.find((item) => isScalar(item.key) && item.key.value === key) ?? null;
      node = pair?.value ?? null;
    } else if (isSeq(holder) && typeof key === 'number') {
      node = holder.items[key] ?? null;
    } else return steps;
    const found = node !== null && !isPair(node) ? (node as Node) : null;
    steps.push({ holder, key, pair, node: found });
    if (found === null || !isCollection(found)) return steps;
    holder = found;
  }
  return steps;
}

function replace(text: string, { pair, node }: Step, value: string): string {
  const end = node?.range?.[1];
  if (pair === null) {
    const start = node?.range?.[0];
    return start === undefined || end === undefined ? text : `${text.slice(0, start)}${value}${text.slice(end)}`;
  }
  const colon = text.indexOf(':', keyOf(pair).range?.[1] ?? 0) + 1;
  const start = node?.range?.[0] ?? colon;
  const isEmpty = end === undefined || end <= start;
  if (isEmpty) return `${text.slice(0, colon)} ${value}${text.slice(colon)}`;
  if (!isCollection(node)) return `${text.slice(0, start)}${value}${text.slice(end)}`;
  // A block below its key becomes one line; a remark behind the key stays there.
  const between = text.slice(colon, start);
  const remark = /#[^\n]*/.exec(between)?.[0];
  const tail = text.slice(0, end).endsWith('\n') ? '\n' : '';
  return `${text.slice(0, colon)} ${value}${remark === undefined ? '' : ` ${remark}`}${tail}${text.slice(end)}`;
}

function takeOut(text: string, steps: readonly Step[]): string {
  let at = steps.length - 1;
  while (at > 0 && sizeOf(steps[at]?.holder) === 1) at -= 1;
  const step = steps[at];
  if (step === undefined) return text;
  const begins = step.pair === null ? step.node?.range?.[0] : keyOf(step.pair).range?.[0];
  const ends = step.node?.range?.[1] ?? (step.pair === null ? undefined : keyOf(step.pair).range?.[1]);
  if (begins === undefined || ends === undefined) return text;
  return `${text.slice(0, lineStart(text, begins))}${text.slice(lineEnd(text, withoutRemarks(text, begins, ends)))}`;
}

function addTo(text: string, { holder, key }: Step, value: Plain): string {
  if (!isCollection(holder)) return text;
  const items: readonly unknown[] = holder.items;
  const [first, last] = [placeOf(text, items[0]), placeOf(text, items.at(-1))];
  if (first === null || last === null) return text;
  const line = isSeq(holder) ? `- ${writeValue(value)}` : nested([key], value);
  const indent = isSeq(holder) ? text.slice(lineStart(text, first.start), text.lastIndexOf('-', first.start)) : '';
  const blanks = isSeq(holder) ? indent : ' '.repeat(first.start - lineStart(text, first.start));
  const isTop = blanks === '' && !isSeq(holder);
  const at = isTop ? text.length : lineEnd(text, last.end);
  return `${ended(text.slice(0, at))}${blanks}${line}\n${text.slice(at)}`;
}

function placeOf(text: string, item: unknown): { start: number; end: number } | null {
  if (isPair(item)) {
    const start = keyOf(item).range?.[0];
    const value = item.value as Node | null;
    const end = value?.range?.[1] ?? keyOf(item).range?.[1];
    return start === undefined || end === undefined
      ? null
      : { start, end: withoutRemarks(text, start, Math.max(end, start)) };
  }
  const range = (item as Node | undefined)?.range;
  return range === undefined || range === null
    ? null
    : { start: range[0], end: withoutRemarks(text, range[0], range[1]) };
}

/** Where a thing ends that the parser lets run on over the remarks and blank lines behind it: those belong to what follows. */
function withoutRemarks(text: string, start: number, end: number): number {
  let at = end;
  for (;;) {
    const from = lineStart(text, at > start && text[at - 1] === '\n' ? at - 1 : at);
    if (from <= start || !/^\s*(#|$)/.test(text.slice(from, at))) return at;
    at = from;
  }
}

function keyOf(pair: Pair<unknown, unknown>): Node {
  return pair.key as Node;
}

function sizeOf(node: Node | undefined): number {
  return isCollection(node) ? node.items.length : 0;
}

function plainOf(node: Node): unknown {
  return isCollection(node) ? JSON.parse(JSON.stringify(node.toJSON())) : undefined;
}

function nested(path: ValueChange['path'], value: Plain): string {
  const [first, ...rest] = path;
  const inside = rest.length === 0 ? value : (changed(undefined, rest, value) as Plain);
  return `${writeValue(String(first))}: ${writeValue(inside)}`;
}

function ended(text: string): string {
  return text === '' || text.endsWith('\n') ? text : `${text}\n`;
}

function lineStart(text: string, at: number): number {
  return text.lastIndexOf('\n', at - 1) + 1;
}

/** Behind the line that holds the last character before `at`. */
function lineEnd(text: string, at: number): number {
  if (at > 0 && text[at - 1] === '\n') return at;
  const end = text.indexOf('\n', at);
  return end < 0 ? text.length : end + 1;
}
