import { isDeepStrictEqual } from 'node:util';
import { isCollection, isMap, isPair, isScalar, isSeq, type Node, type Pair, parse, parseDocument } from 'yaml';
import { Fault } from '../domain/fault.js';
import type { Plain, ValueChange } from '../domain/home-change.js';
import { findMarks, type YamlMark } from './yaml-marks.js';

/** A YAML text with some values changed and every other byte as it was: remarks, order, quotes and blank lines stay.
 *  A new key comes last in its map, on a line of its own; a list item last in its list. A list of lines keeps the lines of the items
 *  that stay. What stands inside one pair of braces or brackets is written anew as a whole, with its remarks on the lines above.
 *  A remark on a line of its own always stays. One behind a value goes with that value alone: of another value it would be untrue.
 *  @throws Fault yaml-unchangeable where the result would not read as the changed values */
export function changeYaml(text: string, changes: readonly ValueChange[]): string {
  // Lines that end as an editor of another system ends them go on doing so, the new ones too.
  if (hasReturns(text)) return changeYaml(text.replaceAll('\r\n', '\n'), changes).replaceAll('\n', '\r\n');
  try {
    const before: unknown = parseDocument(text).toJS() ?? {};
    const wanted = changes.reduce<unknown>((value, change) => changed(value, change.path, change.value), before);
    const written = changes.reduce(spliceOne, text);
    const after = parseDocument(written);
    if (after.errors.length === 0 && isDeepStrictEqual(bare(after.toJS()), bare(wanted))) return written;
  } catch (cause) {
    // What names another value with * has no value any more once that one is gone: the parser throws then.
    throw unchangeable(cause);
  }
  throw unchangeable();
}

function hasReturns(text: string): boolean {
  return text.includes('\r\n') && !/(^|[^\r])\n/.test(text);
}

function unchangeable(cause?: unknown): Fault {
  return new Fault({
    code: 'yaml-unchangeable',
    message: 'This file is written in a way that the page cannot change',
    remedy: 'Change it in an editor; shedbell check says whether it is right.',
    cause,
  });
}

/** A value on one line, as it stands after its key; texts without quotes where they read as themselves. */
function writeValue(value: Plain): string {
  if (typeof value === 'string') return isPlain(value) ? value : JSON.stringify(value);
  if (value === null || typeof value !== 'object') return String(value);
  if (isList(value)) return `[${value.map(writeValue).join(', ')}]`;
  const pairs = Object.entries(value).map(([key, inner]) => `${writeValue(key)}: ${writeValue(inner)}`);
  return pairs.length === 0 ? '{}' : `{ ${pairs.join(', ')} }`;
}

/** Longer than this, or deeper than a map in a map, and a value takes lines of its own. */
const longestLine = 100;
const deepestOnLine = 2;

/** A value behind its key or dash: on the same line where that is short enough, else on lines of its own, further in.
 *  @param indent  of the key or dash
 *  @param used    columns that are taken on its line */
function writeBehind(value: Plain, indent: number, used: number, isItem = false): string {
  const line = writeValue(value);
  if (!isMapOrList(value) || (depthOf(value) <= deepestOnLine && used + 1 + line.length <= longestLine))
    return ` ${line}`;
  const inner = indent + 2;
  if (isList(value)) {
    // A list within a list, such as a row of a table, stays in its brackets.
    if (isItem) return ` ${line}`;
    return value.map((item) => `\n${' '.repeat(inner)}-${writeBehind(item, inner, inner + 1, true)}`).join('');
  }
  const lines = Object.entries(value).map(([key, held]) => {
    const name = `${writeValue(key)}:`;
    return `${name}${writeBehind(held, inner, inner + name.length)}`;
  });
  const gap = `\n${' '.repeat(inner)}`;
  return `${isItem ? ' ' : gap}${lines.join(gap)}`;
}

function isMapOrList(value: Plain): value is readonly Plain[] | { readonly [key: string]: Plain } {
  return typeof value === 'object' && value !== null && Object.keys(value).length > 0;
}

function depthOf(value: Plain): number {
  return isMapOrList(value) ? 1 + Math.max(...Object.values(value).map(depthOf)) : 0;
}

function isPlain(text: string): boolean {
  return (
    /^[\p{L}\p{N}/](?:[\p{L}\p{N} ./@%+_°-]|:(?=[^\s]))*$/u.test(text) && !text.endsWith(' ') && parse(text) === text
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
  if (isThere) return isSeq(last.node) && isList(value) ? replaceItems(text, last, value) : replace(text, last, value);
  const rest = path.slice(steps.length);
  const inside = rest.length === 0 ? value : (changed(undefined, rest, value) as Plain);
  // A scalar, or nothing at all, stands where a map is wanted.
  if (last.pair !== null || last.node !== null) return replace(text, last, inside);
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
      pair = holder.items.find((item) => isScalar(item.key) && String(item.key.value) === String(key)) ?? null;
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

/** Writes a value where another stood. Remarks among the old lines move above the line, the one behind the key stays there. */
function replace(text: string, { pair, node }: Step, value: Plain): string {
  const colon = pair === null ? null : text.indexOf(':', keyOf(pair).range?.[1] ?? 0) + 1;
  const start = node?.range?.[0] ?? colon;
  const end = node?.range?.[1] ?? start;
  if (start === null || end === null) return text;
  const behind =
    pair === null
      ? ` ${writeValue(value)}`
      : writeBehind(value, columnOf(text, keyOf(pair)), columnAt(text, colon ?? start));
  // Of a value on several lines the first is that of its key, which keeps the remark there.
  const [beginning = '', ...further] = behind.split(/(?=\n)/);
  const [sameLine, below] = beginning.startsWith('\n') ? ['', behind] : [beginning, further.join('')];
  if (colon !== null && end <= start) {
    const line = text.indexOf('\n', colon) < 0 ? text.length : text.indexOf('\n', colon);
    return `${text.slice(0, colon)}${sameLine}${text.slice(colon, line)}${below}${text.slice(line)}`;
  }
  const from = colon ?? start;
  const remarks = findMarks(text).remarks.filter((one) => one.start >= from && one.end <= end);
  const isBlock = text.slice(from, start).includes('\n') || (colon !== null && text.slice(0, end).endsWith('\n'));
  // On the line of its key, and behind it nothing but a line's end.
  const beside = isBlock ? remarks.find((one) => !text.slice(from, one.start).includes('\n')) : undefined;
  const above = linesAbove(
    text,
    from,
    remarks.filter((one) => one !== beside),
  );
  const at = lineStart(text, from);
  const tail = text.slice(0, end).endsWith('\n') ? '\n' : '';
  const after = beside === undefined ? '' : ` ${beside.source}`;
  const begun = `${text.slice(0, at)}${above}${text.slice(at, from)}`;
  if (below === '') {
    const written = colon === null ? sameLine.trimStart() : sameLine;
    return `${begun}${written}${after}${tail}${text.slice(end)}`;
  }
  // Whatever stands behind the old value on its last line, such as a remark, goes on standing on the line of the key.
  const line = tail !== '' || text.indexOf('\n', end) < 0 ? end : text.indexOf('\n', end);
  const beyond = tail === '' && text.indexOf('\n', end) < 0 ? text.length : line;
  return `${begun}${sameLine}${after}${text.slice(end, beyond)}${below}${tail}${text.slice(beyond)}`;
}

/** A list of lines with other items: an item that stays keeps its lines and the remarks above them. */
function replaceItems(text: string, step: Step, values: readonly Plain[]): string {
  const { node } = step;
  if (!isSeq(node) || node.flow === true || values.length === 0) return replace(text, step, values);
  const { remarks, dashes } = findMarks(text);
  const old = itemsOf(text, node, dashes);
  const [first, last] = [old.at(0), old.at(-1)];
  if (first === undefined || last === undefined) return text;
  const indent = text.slice(first.start, first.dash);
  const unused = [...values];
  /** Lines for each value that stays, by its place in the new list. */
  const kept = new Map<number, string>();
  let above = '';
  old.forEach((item, index) => {
    const lead = index === 0 ? '' : text.slice(old[index - 1]?.end ?? item.start, item.start);
    const place = unused.findIndex((value, at) => !kept.has(at) && isDeepStrictEqual(bare(value), bare(item.value)));
    if (place < 0) {
      above += `${lead}${ownLines(text, item, remarks, indent)}`;
      return;
    }
    kept.set(place, `${above}${lead}${ended(text.slice(item.start, item.end))}`);
    above = '';
  });
  const lines = values
    .map((value, at) => kept.get(at) ?? `${indent}-${writeBehind(value, indent.length, indent.length + 1, true)}\n`)
    .join('');
  return `${text.slice(0, first.start)}${lines}${above}${text.slice(last.end)}`;
}

/** The lines of each item of a list, with the remark behind it and without those above it. */
function itemsOf(text: string, list: Node, dashes: readonly YamlMark[]) {
  const items: readonly unknown[] = isSeq(list) ? list.items : [];
  return items.flatMap((item) => {
    const range = (item as Node).range;
    const dash = range == null ? undefined : dashes.findLast(({ end }) => end <= range[0]);
    if (range == null || dash === undefined) return [];
    const end = lineEnd(text, withoutRemarks(text, dash.start, range[1]));
    const value: unknown = JSON.parse(JSON.stringify((item as Node).toJSON()));
    return [{ start: lineStart(text, dash.start), dash: dash.start, end, value }];
  });
}

/** The remarks that have a line of their own within a part of the text, one a line. */
function ownLines(
  text: string,
  part: { readonly start: number; readonly end: number },
  remarks: readonly YamlMark[],
  indent: string,
): string {
  return remarks
    .filter((one) => one.start >= part.start && one.end <= part.end && hasOwnLine(text, one))
    .map(({ source }) => `${indent}${source}\n`)
    .join('');
}

function hasOwnLine(text: string, { start }: YamlMark): boolean {
  return text.slice(lineStart(text, start), start).trim() === '';
}

/** Remarks as lines above the one that holds `at`, as far in as that. */
function linesAbove(text: string, at: number, remarks: readonly YamlMark[]): string {
  const indent = indentAt(text, lineStart(text, at));
  return remarks.map(({ source }) => `${indent}${source}\n`).join('');
}

function indentAt(text: string, start: number): string {
  return /^ */.exec(text.slice(start))?.[0] ?? '';
}

function takeOut(text: string, steps: readonly Step[]): string {
  let at = steps.length - 1;
  while (at > 0 && sizeOf(steps[at]?.holder) === 1) at -= 1;
  const step = steps[at];
  if (step === undefined) return text;
  const { remarks, dashes } = findMarks(text);
  const key = step.pair === null ? null : keyOf(step.pair).range;
  const item = step.pair === null ? step.node?.range?.[0] : undefined;
  // The dash of an item may stand on a line before its content.
  const begins = key?.[0] ?? (item === undefined ? undefined : dashes.findLast(({ end }) => end <= item)?.start);
  const ends = step.node?.range?.[1] ?? key?.[1];
  if (begins === undefined || ends === undefined) return text;
  const start = lineStart(text, begins);
  const end = lineEnd(text, withoutRemarks(text, begins, Math.max(ends, begins)));
  const stays = ownLines(text, { start, end }, remarks, indentAt(text, start));
  return `${text.slice(0, start)}${stays}${text.slice(end)}`;
}

function addTo(text: string, { holder, key }: Step, value: Plain): string {
  if (!isCollection(holder)) return text;
  const items: readonly unknown[] = holder.items;
  const [first, last] = [placeOf(text, items[0]), placeOf(text, items.at(-1))];
  if (first === null || last === null) return text;
  const indent = isSeq(holder) ? text.slice(lineStart(text, first.start), text.lastIndexOf('-', first.start - 1)) : '';
  const blanks = isSeq(holder) ? indent : ' '.repeat(first.start - lineStart(text, first.start));
  const isTop = blanks === '' && !isSeq(holder);
  const line = isSeq(holder)
    ? `-${writeBehind(value, blanks.length, blanks.length + 1, true)}`
    : nested([key], value, blanks.length);
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

/** @param indent  of the key */
function nested(path: ValueChange['path'], value: Plain, indent = 0): string {
  const [first, ...rest] = path;
  const inside = rest.length === 0 ? value : (changed(undefined, rest, value) as Plain);
  const key = `${writeValue(String(first))}:`;
  return `${key}${writeBehind(inside, indent, indent + key.length)}`;
}

function columnOf(text: string, node: Node): number {
  return columnAt(text, node.range?.[0] ?? 0);
}

function columnAt(text: string, at: number): number {
  return at - lineStart(text, at);
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
