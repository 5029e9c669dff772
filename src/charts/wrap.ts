/** Widths of letters as shares of the font size, wide enough for DejaVu Sans, the widest face that phones and
 *  small computers fall back to. Measured by eye from its specimen; common practice, no source. */
const narrow = 0.36;
const middling = 0.63;
const wide = 0.92;
const capital = 0.74;
const boldFactor = 1.1;

/** Estimated width of a line of text, on the safe side.
 *  @param text   any text; empty gives 0
 *  @param sizePx font size, > 0
 *  @param bold   whether the face is bold
 *  @returns      drawing units, >= 0
 *  Common practice, no source: a server has no font metrics of the reader's screen. */
export function textWidth(text: string, sizePx: number, bold: boolean): number {
  let ems = 0;
  for (const letter of text) {
    if (/[ijl.,:;'|!()[\]· ]/.test(letter)) ems += narrow;
    else if (/[mwMW—…%@]/.test(letter)) ems += wide;
    else if (/\p{Lu}/u.test(letter)) ems += capital;
    else if (/\p{Lo}/u.test(letter)) ems += 1;
    else ems += middling;
  }
  return ems * sizePx * (bold ? boldFactor : 1);
}

/** Text broken into lines that fit, at spaces where there are any, never at one that must not break (U+00A0); what is past the last line ends in an ellipsis.
 *  @param text     any text; empty gives []
 *  @param widthPx  room for a line, > 0
 *  @param sizePx   font size, > 0
 *  @param bold     whether the face is bold
 *  @param maxLines whole number >= 1
 *  @returns        1 to `maxLines` lines, none wider than the room by the estimate of `textWidth`
 *  Common practice, no source. */
export function wrapText(
  text: string,
  widthPx: number,
  sizePx: number,
  bold: boolean,
  maxLines: number,
): readonly string[] {
  const fits = (line: string) => textWidth(line, sizePx, bold) <= widthPx;
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/[ \t\r\n]+/).filter((part) => part !== '')) {
    const joined = line === '' ? word : `${line} ${word}`;
    if (fits(joined)) {
      line = joined;
      continue;
    }
    // A dot between two parts is no line of its own.
    if (line !== '' && line !== '·') lines.push(line);
    line = word;
    while (!fits(line) && line.length > 1) {
      const [head, rest] = splitToFit(line, fits);
      lines.push(head);
      line = rest;
    }
  }
  if (line !== '') lines.push(line);
  if (lines.length <= maxLines) return lines;
  const kept = lines.slice(0, maxLines);
  let last = kept.pop() ?? '';
  // Cut between words, at a space that must not break too; letter by letter only where one word is wider than the line.
  while (last.length > 1 && !fits(`${last}…`)) {
    const between = last.trimEnd().search(/\s\S+$/);
    last = between > 0 ? last.slice(0, between) : last.slice(0, -1);
  }
  return [...kept, `${last.replace(/[\s,;:·]+$/, '') || last}…`];
}

function splitToFit(word: string, fits: (line: string) => boolean): readonly [string, string] {
  const letters = [...word];
  let count = letters.length - 1;
  while (count > 1 && !fits(letters.slice(0, count).join(''))) count -= 1;
  const head = letters.slice(0, count + 1).join('');
  // Where it has to be broken after all, at a space that must not break sooner than within a word.
  const between = head.search(/\s\S*$/);
  if (between > 0) return [head.slice(0, between), word.slice(between + 1)];
  return [letters.slice(0, count).join(''), letters.slice(count).join('')];
}
