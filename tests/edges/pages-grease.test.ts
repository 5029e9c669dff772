import { expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { openPages } from '../stage/open-pages.js';

test('a point that takes no grease is written down with the work, and comes back on the next sheet', async () => {
  const pages = await openPages();
  try {
    const greased = () => {
      for (const visit of pages.outlook().visits) {
        const sheet = sheetOf(pages.books.home(), gather(pages.books), visit);
        const line = sheet?.lines.find(({ kind }) => kind === 'points');
        if (sheet !== null && line?.kind === 'points' && visit.by === 'owner') return { visit, sheet, line };
      }
      throw new Error('nothing is greased');
    };
    const { visit, line } = greased();
    const field = `blocked.${line.task}.${line.points.place}`;
    expect((await pages.get(`/visits/${visit.id}/sheet`)).text).toContain(`name="${field}"`);
    const { status } = await pages.post(`/visits/${visit.id}/sheet`, {
      task: visit.tasks,
      day: pages.outlook().today,
      go: 'record',
      [field]: 'left one',
    });
    expect(status).toBe(303);
    const records = gather(pages.books).machines.flatMap((one) => one.records);
    expect(records[0]?.findings).toEqual([
      expect.objectContaining({ task: line.task, found: 'takes no grease: left one', verdict: null }),
    ]);
    expect(records[0]?.tasks).toContain(line.task);
    pages.passDays(1);
    const again = sheetOf(pages.books.home(), gather(pages.books), { ...visit, tasks: [line.task] });
    expect(JSON.stringify(again?.lines)).toContain('takes no grease: left one. Free it or fit a new fitting.');
  } finally {
    await pages.close();
  }
});
