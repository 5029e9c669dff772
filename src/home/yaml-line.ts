/** Blank or a remark. */
export function isSilent(line: string): boolean {
  return /^[ \t\r]*(#|$)/.test(line);
}

/** Columns in which a line begins a key or a dash, from 0. */
export function keyColumns(line: string): number[] {
  if (isSilent(line)) return [];
  const [, blanks = '', dash = ''] = /^( *)(- +)?/.exec(line) ?? [];
  return dash === '' ? [blanks.length] : [blanks.length + dash.length, blanks.length];
}

/** Where a quote opens a text and nothing closes it on the line; null where all are closed. A quote within a word is a letter. */
export function openQuoteAt(line: string): number | null {
  let quote = '';
  let opened = 0;
  for (let at = 0; at < line.length; at += 1) {
    const sign = line[at] ?? '';
    if (quote !== '') {
      if (quote === '"' && sign === '\\') at += 1;
      else if (sign === quote) quote = '';
    } else if (sign === '#' && /^$|\s/.test(line[at - 1] ?? '')) break;
    else if ((sign === '"' || sign === "'") && /(^|[:,[{-])\s*$/.test(line.slice(0, at))) {
      quote = sign;
      opened = at;
    }
  }
  return quote === '' ? null : opened;
}

/** Brackets outside of quotes and remarks that are open at the end of the line, and the first that closes none. */
export function bracketsOf(line: string): { open: { sign: string; at: number }[]; extra: number | null } {
  const open: { sign: string; at: number }[] = [];
  let extra: number | null = null;
  const end = wordsEnd(line, 0);
  let quote = '';
  for (let at = 0; at < end; at += 1) {
    const sign = line[at] ?? '';
    if (quote !== '') {
      if (sign === quote) quote = '';
    } else if ((sign === '"' || sign === "'") && /[:,[{-]\s*$/.test(line.slice(0, at))) quote = sign;
    else if (sign === '[' || sign === '{') open.push({ sign, at });
    else if ((sign === ']' || sign === '}') && open.pop() === undefined) extra ??= at;
  }
  return { open, extra };
}

/** Where the words of a line end and its remark begins, blanks before the remark left out. */
export function wordsEnd(line: string, from: number): number {
  const remark = /\s+#/.exec(line.slice(from));
  return remark === null ? line.trimEnd().length : from + remark.index;
}

/** The line without its remark. */
export function bare(line: string): string {
  return line.slice(0, wordsEnd(line, 0)).trim();
}

/** On one line, at most 60 letters. `quote` empty: as it stands, else as a text in quotes. */
export function shorten(text: string, quote = '"'): string {
  const line = text.trim();
  const shown = line.length > 60 ? `${line.slice(0, 60)}…` : line;
  return quote === '' ? shown : JSON.stringify(shown);
}
