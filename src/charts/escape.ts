const named: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Text made safe between tags and inside quoted attributes; control characters, which XML forbids, become spaces.
 *  @param text any text; empty gives empty
 *  @returns    the same text to read
 *  Source: XML 1.0 (fifth edition), sections 2.2 and 2.4. */
export function escapeText(text: string): string {
  return text.replace(/[&<>"']/g, (mark) => named[mark] ?? '').replace(/\p{Cc}|[\uFFFE\uFFFF]|\p{Cs}/gu, ' ');
}

/** A coordinate with at most one decimal, so that a drawing stays small.
 *  @param value finite number of drawing units
 *  @returns     text such as `12.5`; -0 becomes 0
 *  Common practice, no source. */
export function coordinate(value: number): string {
  const rounded = Math.round(value * 10) / 10;
  return String(rounded === 0 ? 0 : rounded);
}
