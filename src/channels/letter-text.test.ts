import fc from 'fast-check';
import { expect, test } from 'vitest';
import { hotOil } from '../../tests/stage/letter-scene.js';
import { writeLetterText } from './letter-text.js';

const long = 'http://shed.example:8377/v/'.padEnd(180, 'x');

test('lines keep within 72 characters, addresses stay whole', () => {
  const text = writeLetterText({
    subject: 's',
    lead: 'word '.repeat(60),
    blocks: [
      { kind: 'list', items: ['thing '.repeat(40)] },
      { kind: 'numbered', items: Array.from({ length: 11 }, () => 'step '.repeat(30)) },
      { kind: 'caution', caution: { ...hotOil, hazard: 'hot '.repeat(50) } },
      { kind: 'link', label: 'Tap', url: long, main: true },
    ],
  });
  const lines = text.split('\n');
  expect(lines).toContain(long);
  for (const line of lines.filter((one) => one !== long)) expect(line.length).toBeLessThanOrEqual(72);
});

test('what follows a number lines up below its text', () => {
  const text = writeLetterText({
    subject: 's',
    lead: 'x',
    blocks: [{ kind: 'numbered', items: ['step '.repeat(20)] }],
  });
  expect(text).toMatch(/\n1\. step .*\n {3}step /);
});

test('a signal word stands on a line of its own within its frame', () => {
  const text = writeLetterText({ subject: 's', lead: 'x', blocks: [{ kind: 'caution', caution: hotOil }] });
  expect(text).toContain('| WARNING\n| Oil drained from a warm engine scalds.\n');
});

test('no word is lost by wrapping', () => {
  fc.assert(
    fc.property(fc.array(fc.stringMatching(/^[a-z]{1,90}$/), { minLength: 1 }), (words) => {
      expect(
        writeLetterText({ subject: 's', lead: words.join(' '), blocks: [] })
          .split(/\s+/)
          .filter(Boolean),
      ).toEqual(words);
    }),
  );
});
