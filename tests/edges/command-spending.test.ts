import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';

let home = '';
let shed: ReturnType<typeof commandsOn>;
let visit = '';
beforeEach(async () => {
  home = stageCommandHome();
  shed = commandsOn(home);
  setCurrency('EUR');
  await shed('reading', 'cider-press', '146', '--at', '2031-08-30T12:00');
  const { visits } = JSON.parse((await shed('visits', '--json')).lines[0] ?? '');
  visit = visits.find((one: { machine: string }) => one.machine === 'cider-press').id;
});
afterEach(() => removeHome(home));

const file = () => join(home, 'household.yaml');
function setCurrency(code: string | null): void {
  const rest = readFileSync(file(), 'utf8').replace(/^currency:.*\n/m, '');
  writeFileSync(file(), code === null ? rest : `${rest}currency: ${code}\n`);
}
const plain = (lines: readonly string[]) => lines.map((line) => line.replaceAll('\u00a0', ' '));
const spending = async (...argv: string[]) => plain((await shed('spending', ...argv)).lines);

test('an amount told with done is on the record, in the sums of year and machine, and undo takes it out', async () => {
  const said = await shed('done', visit, '--paid', '1,234.50', '--paid-for', 'oil and a filter');
  expect(said).toMatchObject({ status: 0, errors: [] });
  expect(plain(said.lines)[0]).toContain('Paid 1,234.50 EUR for oil and a filter.');
  expect(await spending()).toEqual(['Cider press: 1,234.50 EUR in 2031.']);
  expect(JSON.parse((await spending('--json'))[0] ?? '')).toEqual({
    machines: [
      {
        machine: 'cider-press',
        years: [{ year: 2031, currency: 'EUR', amount: '1234.50', minorUnits: 123_450, visits: 1 }],
      },
      { machine: 'hand-tiller', years: [] },
    ],
    years: [{ year: 2031, currency: 'EUR', amount: '1234.50', minorUnits: 123_450, visits: 1 }],
  });
  expect((await shed('undo', 'record-1')).status).toBe(0);
  expect((await spending())[0]).toMatch(/^No amount is on record\./);
});

test('said again it is corrected, a later currency re-labels nothing, and the amount alone can be taken back', async () => {
  await shed('done', visit, '--paid', '85.10');
  setCurrency('CHF');
  const again = await shed('done', visit, '--paid', '112.40 EUR');
  expect(plain(again.lines)[0]).toMatch(/^Already on record: record-1: .*Paid 112\.40 EUR\./);
  expect(await spending('cider-press')).toEqual(['Cider press: 112.40 EUR in 2031.']);
  await shed('done', visit, '--paid', '20');
  expect(await spending()).toEqual(['Cider press: 20.00 CHF in 2031.']);
  expect(await shed('undo', 'paid-3')).toMatchObject({ status: 0, lines: ['paid-3 is taken back: it is in no sum.'] });
  expect((await shed('undo', 'paid-3')).lines).toEqual(['paid-3 was taken back before.']);
  expect((await spending())[0]).toMatch(/^No amount/);
});

test.each([
  [['--paid', '1,234'], 'Is this 1234.00 EUR or 1.234 EUR?'],
  [['--paid', '-5'], 'a refund is a correction'],
  [['--paid', '12.345,6,7'], 'This is no amount of money'],
  [['--paid', ''], '--paid was given nothing'],
  [['--paid-for', 'oil'], '--paid-for wants --paid'],
  [['--paid', '5', '--paid-for', ''], '--paid-for was given nothing'],
])('%j exits 2 with one line, and nothing is recorded', async (argv, line) => {
  const said = await shed('done', visit, ...argv);
  expect(said).toMatchObject({ status: 2, lines: [] });
  expect(said.errors).toHaveLength(1);
  expect(said.errors[0]).toContain(line);
  expect((await shed('export', '--format', 'csv')).lines.join('\n')).not.toContain('record-1');
});

test('without a currency an amount has to name its own, and spending says how to begin', async () => {
  setCurrency(null);
  const said = await shed('done', visit, '--paid', '5');
  expect(said).toMatchObject({ status: 2 });
  expect(said.errors[0]).toContain('set currency: in household.yaml');
  expect((await spending())[0]).toContain('Set currency: in household.yaml');
  expect((await shed('export', '--format', 'csv')).lines[0]).not.toContain('paid');
});

test('old papers bring what was paid: years by the day of the work, all machines together at the end', async () => {
  const csv = join(home, 'log.csv');
  writeFileSync(csv, 'day,tasks,paid,paid_for\n2031-02-01,belt,"12,5",a belt\n2030-12-31,belt,40,\n');
  const run = () => shed('import', csv, '--machine', 'cider-press');
  expect(await run()).toMatchObject({ status: 0, lines: ['log.csv: 0 readings and 2 records imported.'] });
  expect(await spending()).toEqual(['Cider press: 12.50 EUR in 2031, 40.00 EUR in 2030.']);
  writeFileSync(csv, 'day,tasks,paid\n2031-03-01,air-filter,7\n');
  await shed('import', csv, '--machine', 'hand-tiller');
  expect((await spending()).at(-1)).toBe('All together: 19.50 EUR in 2031, 40.00 EUR in 2030.');
  writeFileSync(csv, 'day,tasks,paid\n2031-02-01,belt,99\n');
  const other = await run();
  expect(other.status).toBe(2);
  expect(other.errors[0]).toContain('is on record with another amount paid');
});

test('a currency that is none is named by check with its line', async () => {
  setCurrency('eur');
  const said = await shed('check');
  expect(said.status).toBe(2);
  expect([...said.lines, ...said.errors].join('\n')).toMatch(/household\.yaml:\d+:\d+: .*Write EUR\./);
});

test('a machine that is not there exits 2', async () => {
  expect(await shed('spending', 'no-such')).toMatchObject({ status: 2, lines: [] });
});
