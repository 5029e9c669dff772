import { afterEach, beforeEach, expect, test } from 'vitest';
import { dayMs } from '../../src/domain/day.js';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { formOf, sendForm } from '../stage/forms.js';
import { formKey, type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

const path = '/machines/bank-tractor/reading';
function factsOf(machine: string) {
  const facts = gather(pages.books).machines.find((one) => one.machine === machine);
  if (facts === undefined) throw new Error(`no facts of ${machine}`);
  return facts;
}
const readingsOf = (machine: string) => factsOf(machine).readings.map((reading) => reading.hours);

test('the form opens with the estimate filled in; sent untouched it is asked about, and counts once it is said to be right', async () => {
  const { text } = await pages.get(path);
  const p50 = pages.outlook().machines.find((one) => one.machine === 'bank-tractor')?.hoursNow?.p50 ?? Number.NaN;
  const form = formOf(text, 'hours');
  const filled = form.fields.find(([name]) => name === 'hours')?.[1] ?? '';
  expect(Math.abs(Number(filled) - p50)).toBeLessThanOrEqual(0.5);
  expect(text).toContain(`About ${Math.round(p50)} h by the estimate.`);
  const before = readingsOf('bank-tractor');
  const asked = await sendForm(pages.url, form, {});
  expect(asked.status).toBe(400);
  expect(readingsOf('bank-tractor')).toEqual(before);
  const page = await asked.text();
  expect(page).toContain(`${filled} h is the estimate of this page.`);
  expect(page).toContain(`The meter shows ${filled} h`);
  expect((await sendForm(pages.url, formOf(page, 'hours'), { same: filled })).status).toBe(303);
  expect(readingsOf('bank-tractor')).toEqual([...before, Number(filled)]);
});

test('other hours than those filled in are a reading like any, also after the question', async () => {
  const form = formOf((await pages.get(path)).text, 'hours');
  const page = await (await sendForm(pages.url, form, {})).text();
  expect((await sendForm(pages.url, formOf(page, 'hours'), { hours: '388.4' })).status).toBe(303);
  expect(readingsOf('bank-tractor').at(-1)).toBe(388.4);
});

test('a believable reading is counted, with a comma too, and the service is told', async () => {
  const { status, headers } = await pages.post(path, { hours: '388,4' });
  expect(status).toBe(303);
  const { id } = factsOf('bank-tractor').readings.at(-1) ?? {};
  expect(headers.get('location')).toBe(`/machines/bank-tractor?entry=${id}`);
  expect(readingsOf('bank-tractor').at(-1)).toBe(388.4);
  expect(pages.changes()).toBe(1);
});

test('the same form sent five times at once is one reading', async () => {
  const key = formKey();
  const before = readingsOf('bank-tractor').length;
  const answers = await Promise.all(Array.from({ length: 5 }, () => pages.post(path, { hours: '388.4', key })));
  expect(answers.map((answer) => answer.status)).toEqual([303, 303, 303, 303, 303]);
  expect(readingsOf('bank-tractor')).toHaveLength(before + 1);
});

test('an impossible or unreadable reading gets a page in plain words that keeps what was typed', async () => {
  const before = readingsOf('bank-tractor');
  for (const hours of ['12', '-5', 'NaN', '1e308', 'abc', '390 000 000', '99999999']) {
    const { status, text } = await pages.post(path, { hours });
    expect(status, hours).toBe(400);
    expect(text).toContain('Not taken.');
    expect(text).toContain(`value="${hours}"`);
    expect(text).not.toMatch(/Error|undefined|node_modules/);
  }
  expect((await pages.post(path, {})).status).toBe(400);
  expect((await pages.post(path, { hours: '389', at: '2031-01-01T10:00' })).status).toBe(400);
  expect((await pages.post(path, { hours: '389', at: 'yesterday' })).status).toBe(400);
  expect(readingsOf('bank-tractor')).toEqual(before);
});

test('a reading of an earlier hour is taken at that hour of the household', async () => {
  const { status } = await pages.post(path, { hours: '387', at: '2026-02-20T18:30' });
  expect(status).toBe(303);
  const reading = factsOf('bank-tractor').readings.find((one) => one.hours === 387);
  expect(new Date(reading?.atMs ?? 0).toISOString()).toBe('2026-02-20T18:30:00.000Z');
});

test('a questionable reading is asked about on the same page, and counts once it is confirmed', async () => {
  const before = readingsOf('bank-tractor');
  const { status, headers } = await pages.post(path, { hours: '836.8' });
  expect(status).toBe(303);
  expect(headers.get('location')).toBe(path);
  expect(readingsOf('bank-tractor')).toEqual(before);
  const { text } = await pages.get(path);
  expect(text).toContain('One question first.');
  const answer = /action="(\/machines\/bank-tractor\/aside\/[^"]+)"/.exec(text)?.[1] ?? '';
  expect((await pages.post(answer, { answer: 'right' })).status).toBe(303);
  expect(readingsOf('bank-tractor')).toEqual([...before, 836.8]);
  expect(factsOf('bank-tractor').aside).toEqual([]);
});

test('a questionable reading that was a slip becomes what was meant, and twice is once', async () => {
  const before = readingsOf('bank-tractor');
  await pages.post(path, { hours: '836.8' });
  const aside = factsOf('bank-tractor').aside[0];
  expect(aside?.suggestionHours).toBe(386.8);
  const answer = `/machines/bank-tractor/aside/${aside?.id}`;
  expect((await pages.post(answer, { answer: 'meant' })).status).toBe(303);
  expect((await pages.post(answer, { answer: 'meant' })).status).toBe(303);
  expect(readingsOf('bank-tractor')).toEqual([...before, 386.8]);
});

test('a machine without a meter is told how long it ran', async () => {
  const page = '/machines/hedge-cutter/reading';
  expect((await pages.get(page)).text).toContain('name="minutes"');
  expect((await pages.post(page, { minutes: '40' })).status).toBe(303);
  expect(factsOf('hedge-cutter').toldRuns.map((run) => run.minutes)).toEqual([40]);
  for (const minutes of ['0', '1441', '4.5', 'forty', '']) {
    expect((await pages.post(page, { minutes })).status, minutes).toBe(400);
  }
});

test('a signed link opens the same form, says who read, and may be used again', async () => {
  const token = makePermit(pages.books, { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 30 });
  expect((await pages.get(`/r/${token}`)).text).toContain(`action="/r/${token}"`);
  expect((await pages.post(`/r/${token}`, { hours: '388.5' })).status).toBe(303);
  expect(factsOf('bank-tractor').readings.at(-1)).toMatchObject({ hours: 388.5, by: 'ines', door: 'link' });
  expect((await pages.get(`/r/${token}`)).status).toBe(200);
});

test('an expired link is gone, a forged one or one for something else opens nothing', async () => {
  const token = makePermit(pages.books, { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 2 });
  const other = makePermit(pages.books, { scope: 'visit', subject: 'bank-tractor', person: 'ines', days: 2 });
  const forged = `${token.slice(0, -1)}${token.endsWith('A') ? 'B' : 'A'}`;
  for (const bad of [forged, other, 'x', token.slice(0, 30)]) {
    const { status, text } = await pages.get(`/r/${bad}`);
    expect(status).toBe(403);
    expect(text).toContain('Nothing was changed');
    expect((await pages.post(`/r/${bad}`, { hours: '389' })).status).toBe(403);
  }
  pages.passDays(4);
  expect((await pages.get(`/r/${token}`)).status).toBe(410);
  expect((await pages.post(`/r/${token}`, { hours: '389' })).status).toBe(410);
  expect(readingsOf('bank-tractor')).not.toContain(389);
});

test('"not used since" and "I noticed something" are written down, empty ones are not', async () => {
  expect((await pages.post('/machines/bank-tractor/not-used', { since: '2026-02-10' })).status).toBe(303);
  expect(factsOf('bank-tractor').notUsed).toHaveLength(1);
  for (const since of ['', '2026-02-30', '2027-01-01']) {
    expect((await pages.post('/machines/bank-tractor/not-used', { since })).status, since).toBe(400);
  }
  expect((await pages.post('/machines/bank-tractor/noticed', { text: 'lift hums' })).status).toBe(303);
  expect((await pages.post('/machines/bank-tractor/noticed', { text: '   ' })).status).toBe(400);
  expect(factsOf('bank-tractor').noticed.map((one) => one.text)).toEqual(['lift hums']);
  expect((await pages.get('/machines/bank-tractor')).text).toContain('lift hums');
});

test('an unknown machine is a page in plain words, for looking and for entering', async () => {
  expect((await pages.get('/machines/no-such/reading')).status).toBe(404);
  expect((await pages.post('/machines/no-such/reading', { hours: '3' })).status).toBe(404);
});

test('the estimate follows the reading that was just entered', async () => {
  pages.passDays(30);
  await pages.post(path, { hours: '401.3' });
  const ahead = pages.outlook().machines.find((one) => one.machine === 'bank-tractor');
  expect(ahead?.hoursNow?.p50).toBeCloseTo(401.3, 0);
  expect(ahead?.lastReading?.atMs).toBeGreaterThan(pages.outlook().nowMs - dayMs);
  expect((await pages.get('/machines/bank-tractor')).text).toContain('401');
});
