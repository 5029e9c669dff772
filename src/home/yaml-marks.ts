import { CST, Lexer } from 'yaml';

/** A sign of YAML's own in a text: a remark, or the dash of a list item. */
export interface YamlMark {
  /** Offsets into the text; `end` is behind the last character. */
  readonly start: number;
  readonly end: number;
  readonly source: string;
}

/** All remarks and dashes of a YAML text in their order. What only looks like one, inside a quoted or a block text, is none. */
export function findMarks(text: string): {
  readonly remarks: readonly YamlMark[];
  readonly dashes: readonly YamlMark[];
} {
  const remarks: YamlMark[] = [];
  const dashes: YamlMark[] = [];
  let start = 0;
  let isText = false;
  for (const source of new Lexer().lex(text)) {
    // The lexer's own signs have no place in the text; what follows this one is a value whatever it looks like.
    if (source === CST.DOCUMENT || source === CST.FLOW_END || source === CST.SCALAR) {
      isText = source === CST.SCALAR;
      continue;
    }
    const mark = { start, end: start + source.length, source };
    const type = isText ? null : CST.tokenType(source);
    if (type === 'comment') remarks.push(mark);
    if (type === 'seq-item-ind') dashes.push(mark);
    start = mark.end;
    isText = false;
  }
  return { remarks, dashes };
}
