import fc from 'fast-check';
import { expect, it } from 'vitest';
import { contentLine, escapeText } from './calendar-line.js';

it.each([
  ['a,b;c', 'a\\,b\\;c'],
  ['x\\y', 'x\\\\y'],
  ['line1\nline2\r\nline3', 'line1\\nline2\\nline3'],
  ['time: 8:30', 'time: 8:30'],
  ['bell\u0007 tab\t', 'bell tab\t'],
])('text %j is escaped as RFC 5545 section 3.3.11 says', (text, escaped) => {
  expect(escapeText(text)).toBe(escaped);
});

it('a line is folded at 75 octets without cutting a character', () => {
  const sentence = 'Grease the pins; check oil, then note hours — ä';
  const folded = contentLine(`DESCRIPTION:${sentence.repeat(4)}`);
  const lines = folded.split('\r\n');
  expect(lines.pop()).toBe('');
  expect(lines.map((line) => Buffer.byteLength(line))).toEqual([75, 75, 64]);
  expect(folded.replaceAll('\r\n ', '')).toBe(`DESCRIPTION:${sentence.repeat(4)}\r\n`);
});

it('any line of any characters stays within 75 octets and unfolds to itself', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary', maxLength: 400 }), (text) => {
      const line = `X:${escapeText(text)}`;
      const folded = contentLine(line);
      expect(folded.endsWith('\r\n')).toBe(true);
      for (const one of folded.split('\r\n')) expect(Buffer.byteLength(one)).toBeLessThanOrEqual(75);
      expect(Buffer.from(folded).toString('utf8')).toBe(folded);
      expect(folded.replaceAll('\r\n ', '')).toBe(`${line}\r\n`);
    }),
  );
});
