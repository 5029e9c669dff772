import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import { addDays } from '../../src/domain/day.js';
import { importRows } from '../../src/ledger/import-rows.js';
import { openPages } from '../stage/open-pages.js';

test('a machine with 300 records has a short page, a logbook page by page, and all of it to print or to keep', async () => {
  const pages = await openPages();
  try {
    const { today } = pages.outlook();
    const [task] = pages.books.home().machines.find(({ id }) => id === 'bank-tractor')?.tasks ?? [];
    if (task === undefined) throw new Error('the tractor has tasks');
    const records = Array.from({ length: 300 }, (_, at) => ({
      line: at + 1,
      day: addDays(today, -at - 1),
      hours: null,
      tasks: [task.id],
      note: `page ${at + 1} of the paper book`,
    }));
    const imported = importRows(pages.books, {
      machine: 'bank-tractor',
      file: 'paper.csv',
      by: null,
      confirm: false,
      dryRun: false,
      readings: [],
      records,
    });
    expect(imported).toMatchObject({ kind: 'imported', records: 300 });
    const machine = (await pages.get('/machines/bank-tractor')).text;
    expect(machine).toContain('The logbook, with all 300 records');
    expect(machine.length).toBeLessThan(80_000);
    const noted = (text: string) =>
      [...text.matchAll(/page (\d+) of the paper book/g)].map(([, number]) => Number(number));
    const seen: number[] = [];
    for (let page = 1; page <= 12; page += 1) {
      const { text } = await pages.get(`/machines/bank-tractor/logbook?page=${page}`);
      expect(noted(text)).toHaveLength(25);
      seen.push(...noted(text));
    }
    expect(seen).toEqual(records.map((_, at) => at + 1));
    // Beyond the last page and nonsense show a page that there is.
    expect(noted((await pages.get('/machines/bank-tractor/logbook?page=99')).text)).toContain(300);
    expect(noted((await pages.get('/machines/bank-tractor/logbook?page=x')).text)).toContain(1);

    const html = await pages.get('/machines/bank-tractor/logbook/html');
    expect(noted(html.text)).toHaveLength(300);
    expect(html.headers.get('content-security-policy')).toContain("default-src 'none'");
    const csv = await pages.get('/machines/bank-tractor/logbook/csv');
    const rows: Record<string, string>[] = parse(csv.text, { columns: true });
    expect(rows.filter(({ kind }) => kind === 'record')).toHaveLength(300);
    expect(new Set(rows.map((row) => row.machine))).toEqual(new Set(['bank-tractor']));
    const json = JSON.parse((await pages.get('/machines/bank-tractor/logbook/json')).text);
    expect(json.machines.map((one: { id: string; records: unknown[] }) => [one.id, one.records.length])).toEqual([
      ['bank-tractor', 300],
    ]);
    expect((await pages.get('/machines/bank-tractor/logbook/pdf')).status).toBe(404);
    expect((await pages.get('/machines/nobody/logbook/csv')).status).toBe(404);
  } finally {
    await pages.close();
  }
});
