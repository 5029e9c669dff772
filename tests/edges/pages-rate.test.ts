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

test('what an open sheet sends by itself, tap by tap, leaves room to write the work down; it has a limit too', async () => {
  const pages = await openPages();
  try {
    const visit = pages.outlook().visits[0];
    if (visit === undefined) throw new Error('no visit');
    const own: number[] = [];
    for (let tap = 0; tap < 70; tap += 1) {
      own.push((await pages.post(`/visits/${visit.id}/verdicts`, {})).status);
      own.push((await pages.post(`/visits/${visit.id}/marks`, { touched: '[]' })).status);
    }
    expect(new Set(own)).toEqual(new Set([200]));
    const day = pages.outlook().today;
    const written = await pages.post(`/visits/${visit.id}/sheet`, { task: visit.tasks, day, go: 'record' });
    expect(written.status).toBe(303);
    const more: number[] = [];
    for (let tap = 0; tap < 170; tap += 1) more.push((await pages.post(`/visits/${visit.id}/verdicts`, {})).status);
    expect(more.at(-1)).toBe(429);
    const changes: number[] = [];
    for (let post = 0; post < 70; post += 1) changes.push((await pages.post(`/records/record-99/paid`, {})).status);
    expect(changes.at(-1)).toBe(429);
  } finally {
    await pages.close();
  }
});
