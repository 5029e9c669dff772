import fc from 'fast-check';
import { expect, test } from 'vitest';
import { textWidth, wrapText } from './wrap.js';

test('a long title wraps at its spaces and keeps every word', () => {
  const lines = wrapText('Engine oil, oil filter, air filter and two more', 150, 15, true, 4);
  expect(lines.length).toBeGreaterThan(1);
  expect(lines.join(' ')).toBe('Engine oil, oil filter, air filter and two more');
});

test('what does not fit into the lines allowed ends in an ellipsis', () => {
  expect(wrapText('one two three four five six seven eight', 60, 12, false, 2).at(-1)).toMatch(/…$/);
});

test('no line is wider than its room, whatever the text', () => {
  fc.assert(
    fc.property(fc.string({ maxLength: 80 }), fc.integer({ min: 40, max: 300 }), (text, room) => {
      for (const line of wrapText(text, room, 12, true, 3)) {
        if ([...line].length > 1) expect(textWidth(line, 12, true)).toBeLessThanOrEqual(room);
      }
    }),
  );
});
