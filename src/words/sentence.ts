/** The text with its first letter as a capital, for the start of a sentence; an empty text stays empty.
 *  Source: common practice, no source. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** The text as it stands within a sentence: first letter small, unless its first word is an abbreviation (`PTO shaft`, `12 V`).
 *  Source: common practice, no source. */
export function small(text: string): string {
  const firstWord = text.split(/[\s,;:.]/, 1)[0] ?? '';
  return /^\p{Lu}\p{Ll}*$/u.test(firstWord) || /^\p{Lu}\p{Ll}+[-'’]\p{Ll}+$/u.test(firstWord)
    ? text.charAt(0).toLowerCase() + text.slice(1)
    : text;
}

/** The text on one line: line breaks, tabs and control characters become one blank, the ends are trimmed. Signs that turn the direction
 *  of what follows are left out: letters of any script find their direction by themselves, and one sign left open would turn the
 *  whole line round. What a person typed can so never start a new header or a new paragraph.
 *  Source: RFC 5322 section 2.2 (a header field holds no bare CR or LF); Unicode Standard Annex 9 section 2 (explicit directional formatting). */
export function oneLine(text: string): string {
  return text
    .replace(/[\u202a-\u202e\u2066-\u2069]/g, '')
    .replace(/[\p{Cc}\u2028\u2029]+/gu, ' ')
    .replace(/ {2,}/g, ' ')
    .trim();
}

/** The text ended by a full stop, unless it already ends like a sentence. Empty stays empty.
 *  Source: common practice, no source. */
export function ended(text: string): string {
  return text === '' || /[.!?…]$/.test(text) ? text : `${text}.`;
}

/** At most `most` characters, cut between words with an ellipsis.
 *  @param most  whole number >= 2
 *  Source: common practice, no source. */
export function shortened(text: string, most: number): string {
  const characters = [...text];
  if (characters.length <= most) return text;
  const cut = characters.slice(0, most - 1).join('');
  const between = cut.lastIndexOf(' ');
  return `${(between > most / 2 ? cut.slice(0, between) : cut).replace(/[\s,;:(]+$/, '')}…`;
}
