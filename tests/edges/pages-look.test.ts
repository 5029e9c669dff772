import { afterAll, beforeAll, expect, test } from 'vitest';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeAll(async () => {
  pages = await openPages();
});
afterAll(() => pages.close());

test('the months ahead open with a sentence and draw the visits', async () => {
  const { status, text } = await pages.get('/');
  expect(status).toBe(200);
  expect(text).toContain('<h1>');
  expect(text).toContain('class="almanac"');
});
