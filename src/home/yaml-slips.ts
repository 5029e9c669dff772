import { bare, bracketsOf, isSilent, keyColumns, openQuoteAt, shorten, wordsEnd } from './yaml-line.js';

/** What somebody who never wrote YAML most likely meant to write in one line. */
export interface Slip {
  /** From 1. */
  readonly line: number;
  readonly column: number;
  readonly message: string;
  /** What was found, where the line itself does not say it best. */
  readonly found: string;
  readonly remedy: string;
  /** What follows is read as part of it, up to where the parser gives up. */
  readonly swallows: boolean;
  /** The whole text with this one line as it was meant. */
  readonly mended: string;
}

/** Lines before a complaint whose place in their map is doubted. */
const linesAround = 12;
/** A longer line holds no slip of the finger: it is a file that was damaged, or a text that was pasted. The looks at a line take
 *  time that grows with the cube of its length. Letters. */
const longestLine = 500;

/** Slips that a text may hold, most telling first; each is proven only by the parser liking the mended text better.
 *  @param lastLine  where the parser complains, from 1 */
export function guessSlips(text: string, lastLine: number): Slip[] {
  const lines = text.split('\n');
  const isLookedAt = (line: string) => line.length <= longestLine && !isSilent(line);
  const guess = (kinds: readonly Guess[], from: number, to: number) =>
    kinds.flatMap((kind) =>
      lines.slice(from, to).flatMap((line, index) => (isLookedAt(line) ? kind(line, from + index, lines) : [])),
    );
  const near = [blankAfterColon, colonMissing, openBracket, extraBracket, commaMissing, colonInText];
  // The parser may stumble over a line only when it sees the next one.
  const next = lines.findIndex((line, index) => index >= lastLine && !isSilent(line));
  return [
    ...guess([oddBlanks, openQuote], 0, lastLine),
    ...guess(near, 0, lastLine).sort((a, b) => b.line - a.line),
    ...guess([aroundLine], Math.max(0, lastLine - linesAround), next < 0 ? lastLine : next + 1).reverse(),
  ];
}

type Guess = (line: string, index: number, lines: readonly string[]) => Slip[];

function slip(
  lines: readonly string[],
  index: number,
  column: number,
  mendedLine: string,
  said: Pick<Slip, 'message' | 'found' | 'remedy'> & Partial<Pick<Slip, 'swallows'>>,
): Slip {
  return {
    swallows: false,
    ...said,
    line: index + 1,
    column: column + 1,
    // Put together only where it is tried: a large file has thousands of guesses, and some sixty are.
    get mended() {
      return lines.with(index, mendedLine).join('\n');
    },
  };
}

/** Tabs before the words of lines, told once at the first: one setting of an editor made them all. One guess for each width
 *  that a tab may have stood for; none where there is no tab. */
export function guessTabs(text: string): Slip[] {
  const lines = text.split('\n');
  const index = lines.findIndex((line) => !isSilent(line) && /^ *\t/.test(line));
  const line = lines[index];
  if (line === undefined) return [];
  return tabWidths.map((width) => ({
    line: index + 1,
    column: line.indexOf('\t') + 1,
    message: 'A tab stands where YAML wants blanks',
    found: shorten(line.replaceAll('\t', '→')),
    remedy: 'Use spaces: two for each level. An editor can be set to write spaces for the tab key.',
    swallows: false,
    mended: lines.map((each) => each.replace(/^[ \t]+/, (own) => own.replaceAll('\t', ' '.repeat(width)))).join('\n'),
  }));
}

const tabWidths = [2, 4, 8, 1, 3, 6] as const;

/** Blanks that only look like one, before the words of a line: the parser takes them for letters. */
export function oddIndents(text: string): Slip[] {
  const lines = text.split('\n');
  return lines.flatMap((line, index) =>
    !isSilent(line) && new RegExp(`^ *${oddBlank.source}`).test(line) ? oddBlanks(line, index, lines) : [],
  );
}

const oddBlank = /[\u00a0\u2000-\u200b\u202f\u3000]/;

/** Blanks that look like one and are none: they come along when text is copied from a page or a letter. */
const oddBlanks: Guess = (line, index, lines) => {
  const at = line.search(oddBlank);
  if (at < 0) return [];
  return [
    slip(lines, index, at, line.replaceAll(new RegExp(oddBlank, 'g'), ' '), {
      message: 'A special blank stands here that only looks like one',
      found: shorten(line),
      remedy: 'Delete the blanks here and type them anew; they came along with copied text.',
    }),
  ];
};

const openQuote: Guess = (line, index, lines) => {
  const open = openQuoteAt(line);
  if (open === null) return [];
  const quote = line[open] ?? '"';
  const words = wordsEnd(line, open);
  // Inside [ ] and { } it was meant to end before the next comma or bracket.
  const inFlow = /[[{]/.test(line.slice(0, open));
  const next = inFlow ? line.slice(open + 1).search(/[,\]}]/) : -1;
  const end = next < 0 ? words : open + 1 + next;
  const text = line.slice(open, end).trimEnd();
  return [
    slip(lines, index, open, `${line.slice(0, open)}${text}${quote}${line.slice(open + text.length)}`, {
      swallows: true,
      message: 'A quote opens here and does not close on this line',
      found: shorten(text, ''),
      remedy: `Close it: ${shorten(`${text}${quote}`, '')}`,
    }),
  ];
};

const blankAfterColon: Guess = (line, index, lines) => {
  const parts = /^(\s*(?:- +)?)([A-Za-z][\w-]*):([^\s:].*)$/.exec(line);
  if (parts === null) return [];
  const [, before = '', key = '', value = ''] = parts;
  return [
    slip(lines, index, before.length + key.length, `${before}${key}: ${value}`, {
      message: 'A blank is missing behind the colon',
      found: shorten(bare(line)),
      remedy: `Write ${shorten(bare(`${key}: ${value}`), '')}`,
    }),
  ];
};

const colonMissing: Guess = (line, index, lines) => {
  const parts = /^(\s*(?:- +)?)([A-Za-z][\w-]*)(?:\s*=\s*|\s+|$)([^:]*)$/.exec(line.replace(/\s#.*$/, '').trimEnd());
  if (parts === null) return [];
  const [, before = '', key = '', value = ''] = parts;
  return [
    slip(lines, index, before.length, `${before}${key}: ${value}`.trimEnd(), {
      message: 'A colon is missing behind the key',
      found: shorten(bare(line)),
      remedy: `Write ${shorten(`${key}: ${value}`.trimEnd(), '')}`,
    }),
  ];
};

const openBracket: Guess = (line, index, lines) => {
  const { open } = bracketsOf(line);
  const last = open.at(-1);
  if (last === undefined) return [];
  const closing = open.map(({ sign }) => (sign === '[' ? ']' : '}')).reverse();
  const end = wordsEnd(line, 0);
  const text = line.slice(0, end).trimEnd();
  const mended = `${text}${last.sign === '{' ? ' ' : ''}${closing.join('')}`;
  return [
    slip(lines, index, last.at, `${mended}${line.slice(text.length)}`, {
      message: `The bracket ${last.sign} opens here and does not close on this line`,
      found: shorten(bare(line)),
      remedy: `Close it: ${shorten(mended.trim(), '')}`,
    }),
  ];
};

const extraBracket: Guess = (line, index, lines) => {
  const { extra } = bracketsOf(line);
  if (extra === null) return [];
  return [
    slip(lines, index, extra, line.slice(0, extra) + line.slice(extra + 1), {
      message: `The bracket ${line[extra]} closes here, but none is open`,
      found: shorten(bare(line)),
      remedy: 'Take it out, or open one before it.',
    }),
  ];
};

const commaMissing: Guess = (line, index, lines) => {
  const start = line.search(/[[{]/);
  if (start < 0) return [];
  const parts = /^(.*[^\s,{[;])(\s*;\s*|\s+)([A-Za-z][\w-]*:\s.*)$/.exec(line.slice(start));
  if (parts === null) return [];
  const [, before = '', , after = ''] = parts;
  return [
    slip(lines, index, start + before.length, `${line.slice(0, start)}${before}, ${after}`, {
      message: 'A comma is missing between two entries',
      found: shorten(bare(line)),
      remedy: `Write ${shorten(bare(`${line.slice(start, start)}${before}, ${after}`), '')}`,
    }),
  ];
};

const colonInText: Guess = (line, index, lines) => {
  const parts = /^(\s*(?:- +)?[A-Za-z][\w-]*: +)([^\s"'[{|>#&*!][^"#]*:\s[^"#]*?)(\s*(?:\s#.*)?)$/.exec(line);
  if (parts === null) return [];
  const [, before = '', words = '', after = ''] = parts;
  return [
    slip(lines, index, before.length, `${before}"${words}"${after}`, {
      message: 'A second colon stands in this text',
      found: shorten(words),
      remedy: `Put the text in quotes: ${shorten(`${before.trimStart()}"${words}"`, '')}`,
    }),
  ];
};

/** A value with lines under it, or a line that begins in a column of its own. */
const aroundLine: Guess = (line, index, lines) => {
  if (isSilent(line)) return [];
  const above = lines.slice(0, index).findLast((each) => !isSilent(each));
  if (above === undefined || above.length > longestLine) return [];
  const indent = /^ */.exec(line)?.[0].length ?? 0;
  const columns = keyColumns(above);
  const doubled: Slip[] = [];
  const moved: Slip[] = [];
  const held = /^(\s*(?:- +)?[A-Za-z][\w-]*:)\s+([^\s#&*!|>[{].*?)\s*(?:\s#.*)?$/.exec(above);
  if (held !== null && indent > (columns.at(-1) ?? 0)) {
    const at = lines.lastIndexOf(above, index - 1);
    const [, key = '', value = ''] = held;
    doubled.push(
      slip(lines, at, key.length + 1, key, {
        message: 'This key has a value, and more keys indented under it',
        found: shorten(bare(above)),
        remedy: `Keep one of them: take out ${shorten(value, '')} or the lines under it.`,
      }),
    );
  }
  for (const column of new Set([...columns, ...lines.slice(0, index).flatMap(keyColumns)])) {
    if (column === indent) continue;
    moved.push(
      slip(lines, index, indent, `${' '.repeat(column)}${line.trimStart()}`, {
        message: 'This line is indented differently from its neighbours',
        found: shorten(bare(line)),
        remedy: `Begin all keys of one map in the same column: ${blanksBefore(column)} before this one.`,
      }),
    );
  }
  // Listed backwards: the likeliest comes last. One blank too many is a slip of the finger, more of them are meant.
  return indent - (columns[0] ?? 0) === 1 ? [...doubled, ...moved.reverse()] : [...moved.reverse(), ...doubled];
};

function blanksBefore(column: number): string {
  return column === 0 ? 'no blank' : `${column} ${column === 1 ? 'blank' : 'blanks'}`;
}
