import type { YAMLError } from 'yaml';
import { Fault } from '../domain/fault.js';
import { guessSlips, guessTabs, type Slip } from './yaml-slips.js';

/** Faults of syntax shown for one file; beyond that a mistake early on causes those that follow. */
const mostFaults = 20;
/** Longer texts are not searched for slips: each guess is read anew. Letters. */
const longestSearched = 100_000;
/** Guesses that are tried for one fault, and for one file. */
const mostGuesses = { fault: 60, file: 300 };
/** What the parser is sure about, each a fault of its own. */
const certain: readonly string[] = [
  'DUPLICATE_KEY',
  'MULTIPLE_DOCS',
  'BAD_ALIAS',
  'TAG_RESOLVE_FAILED',
  'BAD_SCALAR_START',
  'BAD_DQ_ESCAPE',
  'BAD_DIRECTIVE',
];

/** Every fault of a text's syntax, one for each slip: what was most likely meant is tried, and where the parser then goes
 *  further, that was it. Where no guess helps, the parser's first complaint is said, because one slip causes many.
 *  @param problemsOf  what the parser says against a text, in any order */
export function plainSyntaxFaults(
  file: string,
  text: string,
  problemsOf: (text: string) => readonly YAMLError[],
): Fault[] {
  const faults: Fault[] = [];
  let guessesLeft = mostGuesses.file;
  let read = text.replaceAll('\r\n', '\n');
  if (problemsOf(read).some(({ code }) => code === 'TAB_AS_INDENT')) {
    const [best] = guessTabs(read)
      .map((slip) => ({ slip, left: problemsOf(slip.mended).length }))
      .sort((a, b) => a.left - b.left);
    if (best !== undefined) {
      faults.push(slipFault(best.slip, read, file));
      const tabbed = read.split('\n').map((line) => /^ *\t/.test(line));
      read = best.slip.mended;
      const next = sorted(problemsOf(read))[0];
      // Nobody knows how wide a tab was meant to be: what is left to say of such a line says nothing new.
      if (next === undefined || tabbed[placeOf(read, next.pos[0]).line - 1] === true) return faults;
    }
  }
  while (faults.length < mostFaults) {
    const problems = sorted(problemsOf(read));
    const [first] = problems;
    if (first === undefined) return faults;
    const most = Math.min(mostGuesses.fault, guessesLeft);
    const slip = certain.includes(first.code) ? null : provenSlip(read, first, most, problemsOf);
    guessesLeft -= most;
    if (slip === null) {
      const said = certain.includes(first.code) ? problems.filter(({ code }) => certain.includes(code)) : [first];
      for (const problem of said.slice(0, mostFaults - faults.length)) faults.push(plainSyntax(problem, read, file));
      return faults;
    }
    faults.push(slipFault(slip, read, file));
    read = slip.mended;
  }
  return faults;
}

/** The first guess that leaves nothing to complain of, else the first that lets the parser get further. */
function provenSlip(
  text: string,
  first: YAMLError,
  most: number,
  problemsOf: (text: string) => readonly YAMLError[],
): Slip | null {
  if (text.length > longestSearched) return null;
  const line = placeOf(text, first.pos[0]).line;
  const tried = guessSlips(text, line)
    .slice(0, most)
    .map((slip) => ({ slip, left: sorted(problemsOf(slip.mended))[0] }));
  const isFurther = ({ slip, left }: { slip: Slip; left: YAMLError | undefined }) => {
    const next = left === undefined ? Number.POSITIVE_INFINITY : placeOf(slip.mended, left.pos[0]).line;
    // A quote that stays open swallows the text up to the next one, so the parser complains far below.
    return slip.swallows ? next > slip.line + 1 : next > Math.max(line, slip.line);
  };
  return (tried.find(({ left }) => left === undefined) ?? tried.find(isFurther))?.slip ?? null;
}

/** The fault of one slip; a line that might hold a secret is not shown. */
export function slipFault(slip: Slip, text: string, file: string): Fault {
  const isSecret = mightBeSecret.test(text.split('\n')[slip.line - 1] ?? '');
  return new Fault({
    code: 'yaml-syntax',
    message: slip.message,
    place: `${file}:${slip.line}:${slip.column}`,
    ...(isSecret ? {} : { found: slip.found }),
    remedy: isSecret ? 'Mend this line; it is not shown, because it may hold a secret.' : slip.remedy,
    retry: 'after-fix',
  });
}

function sorted(problems: readonly YAMLError[]): YAMLError[] {
  return [...problems].sort((a, b) => a.pos[0] - b.pos[0]);
}

function placeOf(text: string, offset: number): { line: number; column: number } {
  const before = text.slice(0, offset).split('\n');
  return { line: before.length, column: (before.at(-1) ?? '').length + 1 };
}

/** What the parser's codes mean to the person who wrote the file, and what they can do. */
const plain: Readonly<Record<string, readonly [message: string, remedy: string]>> = {
  TAB_AS_INDENT: ['A tab stands where YAML wants blanks', 'Use spaces: two for each level.'],
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
  BAD_ALIAS: ['A text that begins with * or & names something else', 'Put the text in quotes.'],
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
function plainSyntax(problem: YAMLError, text: string, file: string): Fault {
  const [message, remedy] = plain[problem.code] ?? [
    'This is not YAML',
    'See whether quotes and brackets are closed and the lines are indented alike.',
  ];
  const { line: lineNumber, column } = placeOf(text, problem.pos[0]);
  const line = (text.split('\n')[lineNumber - 1] ?? '').trim();
  const shown = line.length > 60 ? `${line.slice(0, 60)}…` : line;
  return new Fault({
    code: 'yaml-syntax',
    message,
    place: `${file}:${lineNumber}:${column}`,
    ...(shown === '' || mightBeSecret.test(line) ? {} : { found: JSON.stringify(shown.replaceAll('\t', '→')) }),
    remedy,
    retry: 'after-fix',
    cause: problem,
  });
}
