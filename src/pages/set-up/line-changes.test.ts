import fc from 'fast-check';
import { expect, test } from 'vitest';
import { lineChanges } from './line-changes.js';

const shown = (before: string, after: string) => lineChanges(before, after).map(({ sign, text }) => `${sign} ${text}`);

test('what went and what came is shown under the lines that it belongs to', () => {
  const before = 'name: Mower\ntasks:\n  engine-oil:\n    # manual\n    minutes: 20\n  blades:\n    minutes: 30\n';
  expect(shown(before, before.replace('30', '40'))).toEqual([
    '  tasks:',
    '    blades:',
    '-     minutes: 30',
    '+     minutes: 40',
  ]);
  expect(shown('', 'name: Mower\n\nplan: x\n')).toEqual(['+ name: Mower', '+ plan: x']);
});

test('two values that change places are shown, though each line is in both texts', () => {
  const before = 'a:\n  minutes: 20\n  by: owner\nb:\n  minutes: 30\n';
  const after = 'a:\n  minutes: 30\n  by: owner\nb:\n  minutes: 20\n';
  expect(shown(before, after)).toEqual([
    '  a:',
    '-   minutes: 20',
    '+   minutes: 30',
    '  b:',
    '-   minutes: 30',
    '+   minutes: 20',
  ]);
});

test('whatever differs is shown: what came and what stayed make the new text, what went and what stayed the old one', () => {
  const text = fc
    .array(fc.constantFrom('a:', '  b: 1', '  b: 2', '# x', '    c: 3', '- d'), { maxLength: 12 })
    .map((lines) => lines.join('\n'));
  fc.assert(
    fc.property(text, text, (before, after) => {
      const changes = lineChanges(before, after);
      const count = (whole: string, line: string) => whole.split('\n').filter((one) => one === line).length;
      const signed = (sign: string, line: string) =>
        changes.filter((one) => one.sign === sign && one.text === line).length;
      for (const line of new Set([...before.split('\n'), ...after.split('\n')])) {
        if (line.trim() === '') continue;
        expect(count(before, line) - signed('-', line) + signed('+', line)).toBe(count(after, line));
      }
      // Only blank lines that came are left out.
      const kept = (whole: string) => whole.split('\n').filter((line) => line !== '');
      if (kept(before).join('\n') !== kept(after).join('\n'))
        expect(changes.some(({ sign }) => sign !== ' ')).toBe(true);
      if (before === after) expect(changes).toEqual([]);
    }),
  );
});
