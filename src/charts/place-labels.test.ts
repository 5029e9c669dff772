import fc from 'fast-check';
import { expect, test } from 'vitest';
import { placeLabels } from './place-labels.js';

const labels = fc.array(
  fc.record({
    wanted: fc.double({ min: -50, max: 800, noNaN: true }),
    height: fc.double({ min: 1, max: 90, noNaN: true }),
  }),
  { maxLength: 40 },
);

test('no label ever overlaps the next, and none stands above the first place allowed', () => {
  fc.assert(
    fc.property(labels, (given) => {
      const tops = placeLabels(given, 0);
      expect(tops).toHaveLength(given.length);
      tops.forEach((top, index) => {
        const above = tops[index - 1];
        expect(top).toBeGreaterThanOrEqual(0);
        if (above !== undefined) expect(top).toBeGreaterThanOrEqual(above + (given[index - 1]?.height ?? 0) - 1e-6);
      });
    }),
  );
});

test('labels with room enough stand exactly where they want to', () => {
  expect(
    placeLabels(
      [
        { wanted: 10, height: 20 },
        { wanted: 40, height: 20 },
      ],
      0,
    ),
  ).toEqual([10, 40]);
});

test('two labels that want the same place share the way: half up, half down', () => {
  expect(
    placeLabels(
      [
        { wanted: 100, height: 20 },
        { wanted: 100, height: 20 },
      ],
      0,
    ),
  ).toEqual([90, 110]);
});

test('no other placing without overlap moves the labels less', () => {
  const cost = (given: readonly { wanted: number }[], tops: readonly number[]) =>
    given.reduce((sum, label, index) => sum + (label.wanted - (tops[index] ?? 0)) ** 2, 0);
  fc.assert(
    fc.property(
      labels,
      fc.array(fc.double({ min: 0, max: 60, noNaN: true }), { minLength: 40, maxLength: 40 }),
      (given, gaps) => {
        let next = gaps[0] ?? 0;
        const other = given.map((label, index) => {
          const top = Math.max(next, label.wanted);
          next = top + label.height + (index % 3 === 0 ? (gaps[index] ?? 0) : 0);
          return top;
        });
        expect(cost(given, placeLabels(given, -1e6))).toBeLessThanOrEqual(cost(given, other) + 1e-3);
      },
    ),
  );
});
