import { expect, test } from 'vitest';
import { openPages } from '../stage/open-pages.js';

test('hundreds of tries at guessing a link within a minute are stopped', async () => {
  const pages = await openPages({}, true);
  try {
    const statuses: number[] = [];
    for (let attempt = 0; attempt < 130; attempt += 1) statuses.push((await pages.get(`/v/guess-${attempt}`)).status);
    expect(statuses[0]).toBe(403);
    expect(statuses.at(-1)).toBe(429);
  } finally {
    await pages.close();
  }
});
