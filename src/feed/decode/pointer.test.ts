import fc from 'fast-check';
import jsonpointer from 'jsonpointer';
import { describe, expect, test } from 'vitest';
import { valueAt } from './pointer.js';

/** Source: RFC 6901 section 5, the document and its twelve pointers. */
const document = {
  foo: ['bar', 'baz'],
  '': 0,
  'a/b': 1,
  'c%d': 2,
  'e^f': 3,
  'g|h': 4,
  'i\\j': 5,
  'k"l': 6,
  ' ': 7,
  'm~n': 8,
};
const published: readonly (readonly [string, unknown])[] = [
  ['', document],
  ['/foo', ['bar', 'baz']],
  ['/foo/0', 'bar'],
  ['/', 0],
  ['/a~1b', 1],
  ['/c%d', 2],
  ['/e^f', 3],
  ['/g|h', 4],
  ['/i\\j', 5],
  ['/k"l', 6],
  ['/ ', 7],
  ['/m~0n', 8],
];

describe('a pointer into JSON', () => {
  test.each(published)('%j of RFC 6901 section 5 finds its value', (pointer, value) => {
    expect(valueAt(document, pointer)).toEqual(value);
  });

  test('unescapes ~1 before ~0, so that ~01 is ~1 (RFC 6901 section 4)', () => {
    expect(valueAt({ '~1': 'tilde one', '/': 'slash' }, '/~01')).toBe('tilde one');
  });

  test('takes no index with a leading zero, no "-", and none past the end', () => {
    for (const pointer of ['/foo/00', '/foo/01', '/foo/-', '/foo/2', '/foo/1.0', '/foo/ 1']) {
      expect(valueAt(document, pointer)).toBeUndefined();
    }
  });

  test('finds nothing that JavaScript adds to objects, lists and texts', () => {
    for (const pointer of [
      '/foo/length',
      '/constructor',
      '/constructor/name',
      '/__proto__',
      '/foo/__proto__/length',
      '/toString',
      '/foo/0/length',
    ]) {
      expect(valueAt(document, pointer)).toBeUndefined();
    }
    expect(valueAt(JSON.parse('{"__proto__":{"x":1}}'), '/__proto__/x')).toBe(1);
  });

  test('agrees with an independent implementation on every path into any JSON', () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 4 }), (text) => {
        const parsed: unknown = JSON.parse(text);
        if (typeof parsed !== 'object' || parsed === null) return;
        for (const pointer of pathsIn(parsed)) {
          expect(valueAt(parsed, pointer)).toEqual(jsonpointer.get(parsed, pointer));
        }
      }),
    );
  });
});

function pathsIn(value: unknown): string[] {
  if (typeof value !== 'object' || value === null) return [''];
  return [
    '',
    ...Object.entries(value).flatMap(([name, inner]) =>
      pathsIn(inner).map((rest) => `/${name.replaceAll('~', '~0').replaceAll('/', '~1')}${rest}`),
    ),
  ];
}
