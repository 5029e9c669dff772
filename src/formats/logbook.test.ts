import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { bookZone, mower, stagedHome } from '../../tests/stage/ledger-books.js';
import { parseDay, parseInstant } from '../domain/day.js';
import { type Facts, noFacts } from '../domain/facts.js';
import { csvLine } from './csv-write.js';
import { writeLogbookCsv } from './logbook-csv.js';
import { writeLogbookHtml } from './logbook-html.js';
import { writeLogbookJson } from './logbook-json.js';

const atMs = parseInstant('2031-04-05T10:00', bookZone);
const sly = '=HYPERLINK("http://x","<script>alert(1)</script>")';
const facts: Facts = {
  version: 1,
  householdSent: [],
  machines: [
    {
      ...noFacts(mower.id),
      readings: [{ id: 'reading-1', atMs, hours: 160.25, about: false, door: 'page', by: 'ines' }],
      toldRuns: [{ id: 'run-1', atMs, minutes: 40, by: null }],
      runs: [{ fromMs: atMs - 3_600_000, toMs: atMs }],
      feedTotal: { runSeconds: 3600, lastAtMs: atMs },
      records: [
        {
          id: 'record-1',
          machine: mower.id,
          visit: null,
          tasks: ['engine-oil', 'blades'],
          day: parseDay('2031-04-05'),
          hours: 160.123456,
          hoursKnown: 'estimated',
          by: 'ines',
          door: 'page',
          note: sly,
          minutes: 50,
          findings: [
            {
              task: 'engine-oil',
              measurement: 'gap',
              place: 'intake',
              found: '-0.13 mm',
              left: null,
              verdict: 'in',
              note: null,
            },
          ],
          enteredAtMs: atMs,
        },
      ],
    },
  ],
};

it('the CSV logbook is read back by another parser, one row a fact', () => {
  const rows: Record<string, string>[] = parse(writeLogbookCsv(stagedHome, facts), { columns: true });
  expect(rows.map((r) => r.kind)).toEqual(['reading', 'told run', 'record', 'finding']);
  expect(rows[0]).toMatchObject({ machine: mower.id, day: '2031-04-05', at: '2031-04-05T09:00:00Z', hours: '160.25' });
  expect(rows[2]).toMatchObject({ tasks: 'engine-oil blades', hours: '160.12', hours_known: 'estimated', by: 'ines' });
  expect(rows[2]).toMatchObject({ minutes: '50', used: 'Oil filter, 1; Engine oil, 1.4 L' });
});

it('no cell of a CSV logbook is a formula', () => {
  const rows: string[][] = parse(writeLogbookCsv(stagedHome, facts));
  expect(rows.flat().filter((cell) => /^[=+\-@\t\r]/.test(cell))).toEqual([]);
  fc.assert(
    fc.property(fc.array(fc.string({ unit: 'binary' }), { minLength: 2, maxLength: 6 }), (cells) => {
      const [back = []]: string[][] = parse(csvLine(cells), { relax_column_count: true });
      expect(back).toHaveLength(cells.length);
      for (const [index, cell] of cells.entries()) {
        expect([cell, `'${cell}`]).toContain(back[index]);
        expect(back[index]).not.toMatch(/^[=+\-@\t\r]/);
      }
    }),
  );
});

it('the JSON logbook holds everything, instants in UTC', () => {
  const document = JSON.parse(writeLogbookJson(stagedHome, facts));
  expect(document).toMatchObject({ household: 'Alder Lane', timezone: 'Europe/Lisbon' });
  expect(document.machines.map((m: { id: string }) => m.id)).toEqual(['meadow-mower', 'wood-saw']);
  expect(document.machines[0]).toMatchObject({
    readings: [{ at: '2031-04-05T09:00:00Z', hours: 160.25 }],
    runs: [{ from: '2031-04-05T08:00:00Z', to: '2031-04-05T09:00:00Z' }],
    feed: { runSeconds: 3600, lastAt: '2031-04-05T09:00:00Z' },
    records: [
      {
        id: 'record-1',
        tasks: ['engine-oil', 'blades'],
        enteredAt: '2031-04-05T09:00:00Z',
        note: sly,
        minutes: 50,
        used: [
          { name: 'Oil filter', amount: '1' },
          { name: 'Engine oil', amount: '1.4 L' },
        ],
      },
    ],
  });
});

it('the HTML logbook names the work, says where hours are estimates, and runs nothing that a person wrote', () => {
  const page = writeLogbookHtml(stagedHome, facts);
  expect(page).toContain('Do the engine-oil; Do the blades');
  expect(page).toContain('about 160.12 h');
  expect(page).toContain('<td>50 min</td>');
  expect(page).toContain('Used, by the plan: Oil filter, 1; Engine oil, 1.4 L');
  expect(page).toContain('Valve gap, intake: found -0.13 mm (within its limits)');
  expect(page).toContain('Ines');
  expect(page).not.toContain('<script');
  expect(page).toContain('&lt;script&gt;');
  expect(page).toContain('Nothing is on record yet.');
});

it('what was paid stands in columns at the end, and in none where prices are not entered and none is on record', () => {
  const heads = (text: string) => (text.split('\r\n')[0] ?? '').split(',');
  const bare = writeLogbookCsv(stagedHome, facts);
  expect(heads(bare).at(-1)).toBe('used');
  expect(writeLogbookHtml(stagedHome, facts)).not.toContain('Paid');
  expect(writeLogbookJson(stagedHome, facts)).not.toContain('"paid"');

  const priced = { ...stagedHome, household: { ...stagedHome.household, currency: 'EUR' } };
  expect(heads(writeLogbookCsv(priced, facts)).slice(-4)).toEqual(['used', 'paid', 'currency', 'paid_for']);
  expect(writeLogbookHtml(priced, facts)).not.toContain('Paid');

  const paid = { id: 'paid-1', money: { currency: 'EUR', minor: 123_450, digits: 2 }, what: sly, atMs, by: null };
  const told: Facts = {
    ...facts,
    machines: facts.machines.map((one) => ({
      ...one,
      records: one.records.map((record) => ({ ...record, paid })),
    })),
  };
  // The currency may have been taken out of household.yaml since: what was paid is told all the same.
  const rows: Record<string, string>[] = parse(writeLogbookCsv(stagedHome, told), { columns: true });
  expect(rows.find(({ kind }) => kind === 'record')).toMatchObject({ paid: '1234.50', currency: 'EUR' });
  const page = writeLogbookHtml(stagedHome, told);
  expect(page).toContain('<p class="used">Paid 1,234.50\u00a0EUR for =HYPERLINK(');
  expect(page).toContain('Paid, as far as it was written down: 1,234.50\u00a0EUR in 2031.');
  expect(page).not.toContain('<script>');
});
