import type { YAMLError } from 'yaml';
import { Fault } from '../domain/fault.js';

/** What the parser's codes mean to the person who wrote the file, and what they can do. */
const plain: Readonly<Record<string, readonly [message: string, remedy: string]>> = {
  TAB_AS_INDENT: ['A tab stands where YAML wants blanks', 'Indent with blanks, two for each level.'],
  BAD_INDENT: [
    'This line is indented differently from its neighbours',
    'Begin all keys of one map in the same column.',
  ],
  DUPLICATE_KEY: ['This key stands here twice', 'Keep one of them.'],
  MULTIPLE_DOCS: ['A second document begins here', 'Keep one document in a file: leave the line --- out.'],
  BLOCK_AS_IMPLICIT_KEY: [
    'A second colon makes this line ambiguous, or the line is indented too far',
    'Put a text that holds a colon in quotes, and begin keys of one map in the same column.',
  ],
  MULTILINE_IMPLICIT_KEY: [
    'A key reaches over more than one line',
    'Write the key and its colon on one line; a text that goes on needs quotes, or >- before it.',
  ],
  MISSING_CHAR: [
    'Something is missing here',
    'Close quotes and brackets, and write a colon and a blank behind each key.',
  ],
  UNEXPECTED_TOKEN: [
    'This does not fit here',
    'See whether quotes and brackets are closed and the lines are indented alike.',
  ],
  BAD_ALIAS: ['A text that begins with * names something else', 'Put the text in quotes.'],
  TAG_RESOLVE_FAILED: ['A text that begins with ! names a type', 'Put the text in quotes.'],
  BAD_SCALAR_START: ['A text cannot begin with this sign', 'Put the text in quotes.'],
  BAD_DQ_ESCAPE: [
    'A backslash in double quotes starts a special sign',
    'Use single quotes, or write the backslash twice.',
  ],
  BAD_DIRECTIVE: ['A line that begins with % is an instruction to the parser', 'Put the text in quotes.'],
  KEY_OVER_1024_CHARS: ['A key is longer than 1024 letters', 'See whether a quote was left open.'],
};

/** Words that mark a line as one that might hold a secret, which is never shown. */
const mightBeSecret = /pass|secret|token|key|user|:\/\/[^/]*@/i;

/** A syntax fault in plain words with the line it stands in, unless that line might hold a secret. */
export function plainSyntax(problem: YAMLError, text: string, place: string, lineNumber: number): Fault {
  const [message, remedy] = plain[problem.code] ?? [
    'This is not YAML',
    'See whether quotes and brackets are closed and the lines are indented alike.',
  ];
  const line = (text.split(/\r\n|\r|\n/)[lineNumber - 1] ?? '').trim();
  const shown = line.length > 60 ? `${line.slice(0, 60)}…` : line;
  return new Fault({
    code: 'yaml-syntax',
    message,
    place,
    ...(shown === '' || mightBeSecret.test(line) ? {} : { found: JSON.stringify(shown.replaceAll('\t', '→')) }),
    remedy,
    retry: 'after-fix',
    cause: problem,
  });
}
