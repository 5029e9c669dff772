import { expect, test } from 'vitest';
import { sayMinutes } from '../../src/words/dates.js';
import { openPages } from '../stage/open-pages.js';

test('the months ahead open with a sentence, then the two actions, then the drawing with every visit of these months', async () => {
  const pages = await openPages();
  try {
    const { status, text } = await pages.get('/');
    expect(status).toBe(200);
    const places = ['<h1>', 'Enter a reading', 'Open the sheet', 'class="almanac"'].map((part) => text.indexOf(part));
    expect(Math.min(...places)).toBeGreaterThan(0);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
    for (const visit of pages.outlook().visits) expect(text).toContain(`href="/visits/${visit.id}/sheet"`);
  } finally {
    await pages.close();
  }
});

test('on the first evening, with nothing known, every page still says something true', async () => {
  const pages = await openPages({}, true);
  try {
    const visits = pages.outlook().visits.map((visit) => `/visits/${visit.id}/sheet`);
    const machines = pages.books
      .home()
      .machines.flatMap((machine) => [`/machines/${machine.id}`, `/machines/${machine.id}/reading`]);
    for (const path of ['/', '/machines', '/notices', ...machines, ...visits]) {
      const { status, text } = await pages.get(path);
      expect(status, path).toBe(200);
      expect(text, path).not.toMatch(/NaN|undefined|Infinity|\[object|null h/);
      expect(text.match(/<h1>/g), path).toHaveLength(1);
    }
    expect(pages.errors).toEqual([]);
  } finally {
    await pages.close();
  }
});

test('getting to know a machine ticks nothing beforehand, says that it may take days, and tells one figure of minutes', async () => {
  const pages = await openPages({}, true);
  try {
    const unknown = pages.outlook().visits.filter((visit) => visit.kind === 'getting-to-know' && visit.by === 'owner');
    expect(unknown.length).toBeGreaterThan(0);
    for (const visit of unknown) {
      const text = (await pages.get(`/visits/${visit.id}/sheet`)).text.replaceAll('\u00a0', ' ');
      expect(text.match(/name="task"/g)).toHaveLength(visit.tasks.length);
      expect(text).not.toMatch(/name="task"[^>]*checked/);
      expect(text.includes('It may be spread over several days')).toBe(true);
      if (text.includes('buy nothing yet')) expect(text).not.toContain('>To buy<');
      expect(text.includes(`About ${sayMinutes(visit.minutes)} of work`.replaceAll('\u00a0', ' '))).toBe(true);
    }
  } finally {
    await pages.close();
  }
});
