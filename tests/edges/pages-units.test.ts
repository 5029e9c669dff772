import { afterAll, beforeAll, expect, test } from 'vitest';
import { expectedUnit } from '../../src/domain/expected-unit.js';
import { convert, parseQuantity } from '../../src/domain/quantity.js';
import { gather } from '../../src/ledger/gather.js';
import { labelOf } from '../../src/outlook/label-of.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { fieldId, findingName } from '../../src/pages/field-names.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeAll(async () => {
  pages = await openPages();
});
afterAll(() => pages.close());

/** A visit of the owner with a value to measure within limits. */
function measured() {
  for (const visit of pages.outlook().visits) {
    const sheet = sheetOf(pages.books.home(), gather(pages.books), visit);
    for (const line of sheet?.lines ?? []) {
      if (line.kind !== 'measurement' || line.measurement.specification.kind !== 'range') continue;
      const unit = expectedUnit(line.measurement.specification);
      if (unit !== null) return { visit, line, unit, specification: line.measurement.specification };
    }
  }
  throw new Error('nothing is measured');
}

test('the unit that a bare number takes stands beside its field, and a value is recorded with it', async () => {
  const { visit, line, unit, specification } = measured();
  const field = findingName(line, 0, 'found');
  const page = (await pages.get(`/visits/${visit.id}/sheet`)).text;
  expect(page.slice(page.indexOf(`name="${field}"`))).toMatch(new RegExp(`^[^<]*<span class="unit">°?${unit}</span>`));

  const send = (fields: Record<string, string>) =>
    pages.post(`/visits/${visit.id}/sheet`, {
      task: visit.tasks,
      day: pages.outlook().today,
      note: 'kept words',
      go: 'record',
      ...fields,
    });
  const refused = await send({ [field]: '7 spans' });
  expect(refused.status).toBe(400);
  const top = refused.text.slice(refused.text.indexOf('<article'), refused.text.indexOf('<h1'));
  expect(top).toContain('Not taken.');
  expect(top.toLowerCase()).toContain(line.measurement.name.toLowerCase());
  expect(top).toMatch(/<p>Use [^.]{1,40}\.<\/p>/);
  expect(top).toContain(`href="#${fieldId(field)}"`);
  expect(refused.text).toMatch(new RegExp(`id="${fieldId(field)}"[^>]*value="7 spans"[^>]*aria-invalid="true"`));
  expect(refused.text).toContain('kept words');
  const minutes = await send({ minutes: 'an hour' });
  expect(minutes.text.slice(0, minutes.text.indexOf('<h1'))).toContain('href="#at-minutes"');
  expect(minutes.text).toContain('id="at-minutes"');
  expect(gather(pages.books).machines.flatMap((one) => one.records)).toEqual([]);

  const number = Number.parseFloat(specification.min);
  expect((await send({ [field]: String(number) })).status).toBe(303);
  const kept = `${number} ${unit}`;
  const records = gather(pages.books).machines.flatMap((one) => one.records);
  expect(records[0]?.findings).toEqual([expect.objectContaining({ found: kept })]);
  const book = `/machines/${visit.machine}/logbook`;
  expect((await pages.get(book)).text).toContain(`found ${number}\u00a0${unit}`);
  expect((await pages.get(`${book}/html`)).text).toContain(`found ${kept}`);
  expect((await pages.get(`${book}/csv`)).text).toContain(`,${kept},`);
  expect((await pages.get(`${book}/json`)).text).toContain(`"found": "${kept}"`);
});

test('where the tools of a household show psi, its fields say psi and a bare number is judged and recorded in it', async () => {
  const own = await openPages({ units: 'us' });
  try {
    const lines = own
      .outlook()
      .visits.flatMap((visit) =>
        (sheetOf(own.books.home(), gather(own.books), visit)?.lines ?? []).flatMap((line) =>
          line.kind === 'measurement' && line.measurement.specification.kind === 'range' && line.unit === 'in'
            ? [{ visit, line, specification: line.measurement.specification }]
            : [],
        ),
      );
    const [first] = lines;
    if (first === undefined) throw new Error('nothing is measured in inches');
    const { visit, line, specification } = first;
    const field = findingName(line, 0, 'found');
    const page = (await own.get(`/visits/${visit.id}/sheet`)).text;
    expect(page.slice(page.indexOf(`name="${field}"`))).toMatch(/^[^<]*<span class="unit">in<\/span>/);
    const min = parseQuantity(specification.min);
    const inches = convert(min, 'in').toFixed(4);
    const answer = await own.post(`/visits/${visit.id}/verdicts`, { [field]: inches });
    expect(answer.text).toContain(`${inches} in (`);
    const sent = await own.post(`/visits/${visit.id}/sheet`, {
      task: visit.tasks,
      day: own.outlook().today,
      go: 'record',
      [field]: inches,
    });
    expect(sent.status).toBe(303);
    const records = gather(own.books).machines.flatMap((one) => one.records);
    expect(records[0]?.findings).toEqual([expect.objectContaining({ found: `${inches} in` })]);
  } finally {
    await own.close();
  }
});

test('sheet and label of a US household say torques and pressures as its own tools show them', () => {
  const home = pages.books.home();
  const facts = gather(pages.books);
  const us = { ...home, household: { ...home.household, units: 'us' as const } };
  const { visits, today } = pages.outlook();
  const limits = visits.flatMap((visit) =>
    (sheetOf(us, facts, visit)?.lines ?? []).flatMap((line) => (line.kind === 'measurement' ? [line.limits] : [])),
  );
  const metric = limits.filter((said) => /\d (N m|kPa|mm)\b/.test(said) && !/^then check| minus /.test(said));
  expect(metric.length).toBeGreaterThan(3);
  for (const said of metric) expect(said).toMatch(/\((\d|−)[^)]* (lbf ft|psi|in)/);
  const machine = home.machines.find(({ id }) => id === 'bank-tractor');
  if (machine === undefined) throw new Error('no tractor');
  expect(labelOf(machine, us.household, facts, today).settings).toContainEqual(
    expect.objectContaining({ limits: expect.stringContaining('90 N m (66.4 lbf ft)') }),
  );
});

test('how much to fill first stands in the household’s measure too', () => {
  const home = pages.books.home();
  const facts = gather(pages.books);
  const visit = pages.outlook().visits.find((one) => one.machine === 'bank-tractor');
  const task = home.machines
    .find(({ id }) => id === 'bank-tractor')
    ?.tasks.find(({ fluids }) => fluids.some(({ fillFirst }) => fillFirst !== undefined));
  if (visit === undefined || task === undefined) throw new Error('nothing is filled');
  const notes = (units: 'us' | 'metric') =>
    (
      sheetOf({ ...home, household: { ...home.household, units } }, facts, { ...visit, tasks: [task.id] })?.lines ?? []
    ).flatMap((line) => (line.kind === 'note' ? [line.text] : []));
  expect(notes('metric')).toContainEqual(expect.stringMatching(/, 3.8 L: fill 90 % of it first/));
  // 3.8 L are 4.015 US qt by the factor of NIST SP 811 (2008) App. B.8.
  expect(notes('us')).toContainEqual(expect.stringMatching(/, 3.8 L \(4.02 US qt\): fill 90 % of it first/));
});
