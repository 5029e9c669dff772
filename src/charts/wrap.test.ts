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

test('the cut comes between words, at a space that must not break too', () => {
  const text =
    'from Sat 4 April · 10\u00a0h\u00a012\u00a0in\u00a0all,\u00a0over\u00a0several\u00a0days · to\u00a0buy:\u00a03';
  const words = new Set(text.split(/[\s·,]+/));
  for (let room = 60; room < 240; room += 5) {
    const cut = wrapText(text, room, 12.5, false, 2).find((line) => line.endsWith('…'));
    const last = cut
      ?.slice(0, -1)
      .split(/[\s·,]+/)
      .at(-1);
    if (cut !== undefined && textWidth('several…', 12.5, false) <= room)
      expect(words, `${room}: ${cut}`).toContain(last);
  }
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
