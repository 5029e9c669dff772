import { expect, test } from 'vitest';
import { context, notice } from '../../tests/stage/letter-scene.js';
import { signalWords } from '../domain/cautions.js';
import { writeLetter } from '../words/letter.js';
import { writeLetterHtml } from './letter-html.js';

const html = writeLetterHtml(writeLetter({ to: 'marta', notices: [notice('work')] }, context()));

/** Contrast of two colours. Source: WCAG 2.2, definitions of relative luminance and contrast ratio. */
function contrast(a: string, b: string): number {
  const [light = 0, dark = 0] = [luminance(a), luminance(b)].toSorted((x, y) => y - x);
  return (light + 0.05) / (dark + 0.05);
}

function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

test('nothing is fetched: no picture, no script, no style sheet from elsewhere', () => {
  expect(html).not.toMatch(/<img|<script|<link|url\(|@import|src=/);
});

test('one column, light and dark', () => {
  expect(html).not.toContain('<table');
  expect(html).toContain('prefers-color-scheme: dark');
  expect(html).toContain('name="color-scheme" content="light dark"');
});

test('every main address is a button and is also written out', () => {
  const address = 'http://shed.example:8377/sheet/hill-tractor-engine-oil-3';
  expect(html.split(`href="${address}"`)).toHaveLength(3);
  expect(html).toContain(`>${address}</a>`);
});

test('all text can be read: contrast of at least 4.5 (WCAG 2.2, 1.4.3), on paper and in the dark', () => {
  const pairs = [...html.matchAll(/background:(#[0-9a-f]{6})(?: !important)?; ?color:(#[0-9a-f]{6})/g)].map(
    ([, a = '', b = '']) => [a, b] as const,
  );
  expect(pairs.length).toBeGreaterThanOrEqual(5);
  const onPaper = ['#6b4f1d', '#6d6453'].map((ink) => ['#f7f2e6', ink] as const);
  const inTheDark = ['#b9b09d', '#d9c9a3'].map((ink) => ['#1d1b17', ink] as const);
  for (const [ground, ink] of [...pairs, ...onPaper, ...inTheDark]) {
    expect(`${ground} ${ink} ${contrast(ground, ink) >= 4.5}`).toBe(`${ground} ${ink} true`);
    if (ground !== '#1d1b17' && !html.includes(ink)) throw new Error(`${ink} is not used any more`);
  }
});

test.each(signalWords)(
  '%s has its panel: the alert symbol stands before every word but NOTICE (ANSI Z535.4-2007)',
  (signal) => {
    const caution = { id: 'x', short: 'x', signal, hazard: 'h', avoid: 'a', source: 's' };
    const page = writeLetterHtml({ subject: 's', lead: 'l', blocks: [{ kind: 'caution', caution }] });
    expect(page).toContain(signal);
    expect(page.includes('\u26a0')).toBe(signal !== 'NOTICE');
    const [, ground = '', ink = ''] =
      /background:(#[0-9a-f]{6});color:(#[0-9a-f]{6});font:(?:italic )?bold/.exec(page) ?? [];
    expect(contrast(ground, ink)).toBeGreaterThanOrEqual(4.5);
  },
);
