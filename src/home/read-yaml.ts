import {
  isAlias,
  isMap,
  isNode,
  isPair,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  parseDocument,
  visit,
  type YAMLError,
} from 'yaml';
import { Fault } from '../domain/fault.js';
import { oddIndents } from './yaml-slips.js';
import { plainSyntaxFaults, slipFault } from './yaml-syntax.js';

/** Aliases that a file may unfold; beyond it a few lines could fill the memory. */
const largestAliasCount = 50;
/** Open brackets, and blanks before a line: far beyond what any configuration has. */
const deepestNesting = 200;
/** Dashes, question marks and colons that may open one line, each a level of its own. */
const mostMarkers = 20;
/** These would reach into JavaScript's own objects. */
const forbiddenKeys: readonly string[] = ['__proto__', 'constructor', 'prototype'];

export type KeyPath = readonly (string | number)[];

/** A YAML text as plain values, with the place of each. */
export interface YamlFile {
  readonly file: string;
  readonly value: unknown;
  /** `file:line:column` of the value at `path`, or of the last thing on the way that is there.
   *  @param key  where given: the place of this key of the map at `path` */
  place(path: KeyPath, key?: string): string;
  /** The line that holds the same, and where it begins in it, from 0. */
  written(path: KeyPath, key?: string): { text: string; from: number };
  /** Line and column of the same, for sorting. */
  position(path: KeyPath, key?: string): { line: number; column: number };
}

export type YamlRead = { kind: 'yaml'; yaml: YamlFile } | { kind: 'faults'; faults: Fault[] };

/** Plain values and their places from YAML 1.2 text, or every fault of its syntax. Never throws.
 *  @param file  name put before each place */
export function readYaml(file: string, text: string): YamlRead {
  try {
    return parse(file, text);
  } catch (cause) {
    // What the parser itself cannot stand (nesting past its call stack) is the text's fault, not a crash.
    const remedy = 'Write it as plain lists and keys.';
    return faults([
      new Fault({
        code: 'yaml-syntax',
        message: 'This text cannot be read as YAML',
        place: `${file}:1:1`,
        remedy,
        cause,
      }),
    ]);
  }
}

function parse(file: string, text: string): YamlRead {
  const lines = new LineCounter();
  const deep = tooDeepAt(text);
  if (deep !== null) {
    const before = text.slice(0, deep).split('\n');
    return faults([
      new Fault({
        code: 'yaml-syntax',
        message: 'This is nested deeper than any setting needs',
        place: `${file}:${before.length}:${(before[before.length - 1] ?? '').length + 1}`,
        remedy: 'Write it as plain lists and keys.',
      }),
    ]);
  }
  const document = readDocument(text, lines);
  const at = (offset: number) => {
    const { line, col } = lines.linePos(offset);
    return { line: Math.max(line, 1), column: Math.max(col, 1) };
  };
  const placeAt = (offset: number) => `${file}:${at(offset).line}:${at(offset).column}`;
  if (problemsOf(document).length > 0) {
    return faults(plainSyntaxFaults(file, text, (other) => problemsOf(readDocument(other))));
  }
  const odd = oddIndents(text);
  if (odd.length > 0) return faults(odd.map((slip) => slipFault(slip, text, file)));
  const keyFaults = checkKeys(document.contents, placeAt);
  if (keyFaults.length > 0) return faults(keyFaults);
  const unnamed = aliasWithoutAnchor(document);
  if (unnamed !== null) {
    return faults([
      new Fault({
        code: 'yaml-syntax',
        message: 'A text that begins with * names something else',
        place: placeAt(unnamed.offset),
        found: JSON.stringify(`*${unnamed.name}`),
        remedy: 'Put the text in quotes.',
        retry: 'after-fix',
      }),
    ]);
  }
  let value: unknown;
  try {
    value = document.toJS({ maxAliasCount: largestAliasCount });
  } catch (cause) {
    return faults([
      new Fault({
        code: 'yaml-aliases',
        message: 'The aliases in this file unfold to far more than was written',
        place: `${file}:1:1`,
        remedy: 'Write the values out instead of naming them with & and *.',
        cause,
      }),
    ]);
  }
  const lineTexts = text.split(/\r?\n/);
  const position = (path: KeyPath, key?: string) => at(offsetOf(document.contents, path, key));
  return {
    kind: 'yaml',
    yaml: {
      file,
      value,
      position,
      written: (path, key) => {
        const { line, column } = position(path, key);
        return { text: lineTexts[line - 1] ?? '', from: column - 1 };
      },
      place: (path, key) => {
        const { line, column } = position(path, key);
        return `${file}:${line}:${column}`;
      },
    },
  };
}

function aliasWithoutAnchor(document: ReturnType<typeof readDocument>): { offset: number; name: string } | null {
  const anchors = new Set<string>();
  let found: { offset: number; name: string } | null = null;
  visit(document, (_key, node) => {
    if (isNode(node) && 'anchor' in node && typeof node.anchor === 'string') anchors.add(node.anchor);
    if (!isAlias(node) || anchors.has(node.source)) return undefined;
    found = { offset: node.range?.[0] ?? 0, name: node.source };
    return visit.BREAK;
  });
  return found;
}

function readDocument(text: string, lineCounter = new LineCounter()) {
  return parseDocument(text, {
    lineCounter,
    prettyErrors: false,
    uniqueKeys: true,
    strict: true,
    version: '1.2',
    // Not silent: then a second document would be passed over without a word.
    logLevel: 'error',
  });
}

function problemsOf({ errors, warnings }: ReturnType<typeof readDocument>): YAMLError[] {
  return [...errors, ...warnings];
}

function faults(list: Fault[]): YamlRead {
  return { kind: 'faults', faults: list };
}

/** Offset from which a text is nested deeper than any setting needs, or null. The parser would exhaust the call stack or
 *  the memory of the whole process there, which no catch can hold. Brackets inside texts count too, which is harmless. */
function tooDeepAt(text: string): number | null {
  const indented = new RegExp(
    `^(?: {${deepestNesting}} *(?=[^ \\r\\n])|[ \\t]*(?:[-?:][ \\t]+){${mostMarkers}})`,
    'm',
  ).exec(text);
  let depth = 0;
  for (let index = 0; index < text.length; index += 1) {
    const sign = text[index];
    if (sign === '[' || sign === '{') depth += 1;
    if ((sign === ']' || sign === '}') && depth > 0) depth -= 1;
    if (depth > deepestNesting) return Math.min(index, indented?.index ?? index);
  }
  return indented?.index ?? null;
}

/** Offset of the value at `path`; a value inside a map is shown at the value itself, a key at its first letter. */
function offsetOf(contents: Node | null, path: KeyPath, key?: string): number {
  let node: unknown = contents;
  let offset = contents?.range?.[0] ?? 0;
  for (const step of path) {
    const next = childOf(node, step);
    if (next === null) break;
    offset = next.keyOffset ?? offset;
    node = next.value;
    if (!isNode(node) || !node.range) break;
    // An empty value has its place behind the colon; its key says more.
    const isEmpty = isScalar(node) && node.value === null && node.range[0] === node.range[1];
    if (!isEmpty) offset = node.range[0];
  }
  if (key !== undefined) offset = childOf(node, key)?.keyOffset ?? offset;
  return offset;
}

function childOf(node: unknown, step: string | number): { keyOffset: number | null; value: unknown } | null {
  if (isMap(node)) {
    const pair = node.items.find((item) => isScalar(item.key) && String(item.key.value) === String(step));
    if (pair === undefined) return null;
    return { keyOffset: isNode(pair.key) ? (pair.key.range?.[0] ?? null) : null, value: pair.value };
  }
  if (isSeq(node) && typeof step === 'number' && step < node.items.length) {
    return { keyOffset: null, value: node.items[step] };
  }
  return null;
}

/** Keys that are no plain words, and those that would reach into the program's own objects. */
function checkKeys(contents: unknown, placeAt: (offset: number) => string): Fault[] {
  const found: Fault[] = [];
  const waiting: unknown[] = [contents];
  while (waiting.length > 0) {
    const node = waiting.pop();
    if (isSeq(node)) waiting.push(...node.items);
    if (!isMap(node)) continue;
    for (const pair of node.items) {
      if (!isPair(pair)) continue;
      waiting.push(pair.value);
      const key = pair.key;
      const offset = isNode(key) ? (key.range?.[0] ?? 0) : 0;
      if (!isScalar(key) || isAlias(key) || key.value === null || typeof key.value === 'object') {
        found.push(
          new Fault({
            code: 'key-forbidden',
            message: 'A key is a plain word',
            place: placeAt(offset),
            remedy: 'Write a word in front of the colon. A text that begins with {, [ or ? belongs in quotes.',
          }),
        );
      } else if (forbiddenKeys.includes(String(key.value))) {
        found.push(
          new Fault({
            code: 'key-forbidden',
            message: 'This word cannot be used as a key',
            place: placeAt(offset),
            found: `"${String(key.value)}"`,
            remedy: 'Choose another word.',
          }),
        );
      }
    }
  }
  return found;
}
