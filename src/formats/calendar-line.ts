/** Octets of a content line without its line break, beyond which it is folded. Source: RFC 5545 section 3.1. */
const longestLineOctets = 75;

/** Text as a property value: backslash, semicolon, comma and line breaks escaped; other control characters, which no value
 *  may hold, left out. A colon stays as it is.
 *  Source: RFC 5545 section 3.3.11. */
export function escapeText(text: string): string {
  return (
    text
      .replace(/[\\;,]/g, '\\$&')
      .replace(/\r\n|\r|\n/g, '\\n')
      // biome-ignore lint/suspicious/noControlCharactersInRegex: it is control characters that must not get through
      .replace(/[\u0000-\u0008\u000b-\u001f\u007f]/g, '')
  );
}

/** One content line, folded so that no line is longer than 75 octets of UTF-8 and no character is cut, ended by CRLF.
 *  @param line  name, parameters and value, without line breaks
 *  Source: RFC 5545 section 3.1. */
export function contentLine(line: string): string {
  let folded = '';
  let octets = 0;
  for (const character of line) {
    const width = octetsOf(character);
    if (octets + width > longestLineOctets) {
      folded += '\r\n ';
      octets = 1;
    }
    folded += character;
    octets += width;
  }
  return `${folded}\r\n`;
}

/** Octets of one character in UTF-8. Source: RFC 3629 section 3. */
function octetsOf(character: string): number {
  const point = character.codePointAt(0) ?? 0;
  return point < 0x80 ? 1 : point < 0x800 ? 2 : point < 0x10000 ? 3 : 4;
}
