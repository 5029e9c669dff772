import { afterEach, beforeEach, expect, test } from 'vitest';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { enterReading } from '../../src/ledger/enter-reading.js';
import { gather } from '../../src/ledger/gather.js';
import { formKey, type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

const tractor = '/machines/bank-tractor';
function factsOf(machine: string) {
  const facts = gather(pages.books).machines.find((one) => one.machine === machine);
  if (facts === undefined) throw new Error(`no facts of ${machine}`);
  return facts;
}
const readingsOf = (machine: string) => factsOf(machine).readings.map((reading) => reading.hours);
/** Sends a form and follows it to the page it leads to. */
async function sent(path: string, fields: Record<string, string> = {}) {
  const { status, headers } = await pages.post(path, fields);
  expect(status).toBe(303);
  const address = headers.get('location') ?? '';
  const { text } = await pages.get(address);
  return { address, text, notice: /<div class="said" role="status">(.*?)<\/div>/s.exec(text)?.[1] ?? '' };
}
const undoIn = (text: string) => /action="([^"]+\/hours\/[^"]+\/undo)"/.exec(text)?.[1] ?? '';

test('a reading is confirmed on the page it leads to, and can be taken back from there', async () => {
  const before = readingsOf('bank-tractor');
  const changes = pages.changes();
  const written = await sent(`${tractor}/reading`, { hours: '388.4' });
  expect(written.notice).toContain('Written down:');
  expect(written.notice).toContain('388.4 h, 28 February at 10:00');
  const taken = await sent(undoIn(written.notice));
  expect(taken.notice).toMatch(/Taken back:.*388\.4 h/s);
  expect(undoIn(taken.notice)).toBe('');
  expect(readingsOf('bank-tractor')).toEqual(before);
  expect(pages.changes()).toBe(changes + 2);
});

test('taken back twice is once, and it stays in the list, struck out', async () => {
  const { notice } = await sent(`${tractor}/reading`, { hours: '388.4' });
  const undo = undoIn(notice);
  await sent(undo);
  const changes = pages.changes();
  const version = pages.outlook().factsVersion;
  const again = await sent(undo);
  expect(again.notice).toContain('Taken back:');
  expect(pages.outlook().factsVersion).toBe(version);
  expect(pages.changes()).toBe(changes);
  expect(again.text).toContain('<s>388.4 h, 28 February at 10:00</s>');
  expect(again.text).not.toContain(`action="${undo}"`);
});

test('a run is confirmed and taken back the same way; so is "not used"', async () => {
  const ran = await sent('/machines/hedge-cutter/reading', { minutes: '40' });
  expect(ran.notice).toContain('a run of 40 min');
  await sent(undoIn(ran.notice));
  expect(factsOf('hedge-cutter').toldRuns).toEqual([]);
  const rested = await sent(`${tractor}/not-used`, { since: '2026-02-10' });
  expect(rested.notice).toContain('not used from 10 February to 28 February');
  await sent(undoIn(rested.notice));
  expect(factsOf('bank-tractor').notUsed).toEqual([]);
});

test('what was noticed is said back', async () => {
  const { notice } = await sent(`${tractor}/noticed`, { text: 'lift hums <loudly>' });
  expect(notice).toContain('“lift hums &lt;loudly>”');
});

test('the notice is told by the books: an address made up says nothing, or what is true', async () => {
  const [reading] = factsOf('paddock-mower').readings;
  for (const query of [
    'entry=reading-999',
    'entry=<b>All+is+well</b>',
    'entry=record-1',
    `entry=${reading?.id}`,
    `entry=${reading?.id}&entry=x`,
    'entry[a]=reading-1',
    'notice=All+is+well',
  ]) {
    const { status, text } = await pages.get(`${tractor}?${query}`);
    expect(status).toBe(200);
    expect(text, query).not.toContain('role="status"');
    expect(text).not.toContain('All is well');
  }
});

test('every reading can be taken back from the list, with the key, of its own machine and from this page only', async () => {
  const { text } = await pages.get(`${tractor}/hours`);
  for (const { id } of factsOf('bank-tractor').readings) expect(text).toContain(`>${id}</span>`);
  const forms = [...text.matchAll(/action="([^"]+\/undo)"/g)].map((found) => found[1] ?? '');
  expect(forms).toHaveLength(readingsOf('bank-tractor').length);
  const [undo = ''] = forms;
  expect((await pages.post(undo, { key: '' })).status).toBe(400);
  expect((await pages.post(undo, {}, { origin: 'http://elsewhere.test' })).status).toBe(403);
  expect((await pages.post(undo.replace('bank-tractor', 'paddock-mower'), {})).status).toBe(404);
  expect((await pages.post(`${tractor}/hours/reading-999/undo`, {})).status).toBe(404);
  expect((await pages.post(`${tractor}/hours/no-such/undo`, {})).status).toBe(404);
  expect(readingsOf('bank-tractor')).toHaveLength(forms.length);
  await sent(undo);
  expect(readingsOf('bank-tractor')).toHaveLength(forms.length - 1);
});

test('the first meter value names the file in which to change it', async () => {
  const first = { hours: 200, atMs: Date.parse('2024-01-01T12:00:00Z'), about: true };
  const meter = { kind: 'meter', counts: 'clock', first, changes: [] } as const;
  await pages.close();
  pages = await openPages({}, true, (home) => ({
    ...home,
    machines: home.machines.map((one) => (one.id === 'bank-tractor' ? { ...one, meter } : one)),
  }));
  const { text } = await pages.get(tractor);
  expect(text).toContain('About 200 h, 1 January 2024');
  expect(text).toContain('machines/bank-tractor.yaml');
});

test('a reading that came with a record leads to the record, which takes it back', async () => {
  const visit = pages.outlook().visits.find((one) => one.machine === 'bank-tractor');
  if (visit === undefined) throw new Error('nothing is planned');
  const said = {
    tasks: null,
    by: null,
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    key: formKey(),
  } as const;
  confirmVisit(pages.books, { ...said, visit, day: pages.outlook().today, hours: 388.2 });
  const { text } = await pages.get(tractor);
  expect(text).toContain('<a href="/records/record-1">record-1</a> and is taken back with it');
  const reading = factsOf('bank-tractor').readings.at(-1);
  expect((await pages.post(`${tractor}/hours/${reading?.id}/undo`, {})).status).toBe(400);
  await pages.post('/records/record-1/undo', {});
  expect((await pages.get(tractor)).text).toContain('<s>388.2 h');
});

test('a long list comes a page at a time, newest first', async () => {
  const startMs = pages.books.clock.nowMs();
  for (let number = 0; number < 90; number += 1) {
    const entry = {
      machine: 'bank-tractor',
      hours: (38_470 + number) / 100,
      atMs: startMs - (200 - number) * 3_600_000,
    };
    enterReading(pages.books, { ...entry, by: null, door: 'import', confirm: true, key: null });
  }
  const told = async (page: string) =>
    [...(await pages.get(`${tractor}/hours${page}`)).text.matchAll(/<span>([\d.]+) h,/g)].map((found) =>
      Number(found[1]),
    );
  const all = [...(await told('')), ...(await told('?page=2')), ...(await told('?page=3'))];
  expect(all.slice(0, 95)).toEqual([...readingsOf('bank-tractor')].reverse());
  for (const page of ['?page=0', '?page=-1', '?page=x', '?page=1e9', '?page=1&page=2']) {
    expect((await told(page))[0], page).toBe(all[0]);
  }
  expect((await pages.get(`${tractor}/hours?page=99`)).text).toContain('Nothing was entered here.');
  expect((await pages.get('/machines/no-such/hours')).status).toBe(404);
});

test('the right reading typed after a questionable one closes its question and says so', async () => {
  await pages.post(`${tractor}/reading`, { hours: '836.8' });
  expect((await pages.get(tractor)).text).toContain('One question first.');
  const { text, notice } = await sent(`${tractor}/reading`, { hours: '386.8' });
  expect(notice).toContain('It answers the question about 836.8 h');
  expect(text).not.toContain('One question first.');
});

test('a question settled leads to what was written down', async () => {
  await pages.post(`${tractor}/reading`, { hours: '836.8' });
  const [aside] = factsOf('bank-tractor').aside;
  const { notice } = await sent(`${tractor}/aside/${aside?.id}`, { answer: 'meant' });
  expect(notice).toContain('386.8 h');
});

test('what was noticed can be taken back, seen to with a tap, and opened again', async () => {
  const open = () => gather(pages.books).machines.flatMap((one) => one.noticed.filter(({ state }) => state === 'open'));
  const { notice } = await sent(`${tractor}/noticed`, { text: 'lift hums' });
  expect(notice).toContain('Take it back');
  const [first] = open();
  const path = `${tractor}/noticed/${first?.id}`;
  await pages.post(path, { answer: 'seen-to' });
  expect(open()).toEqual([]);
  expect((await pages.get(tractor)).text).toMatch(/lift hums<\/span><span class="small">Seen to: \d+ \w+/);
  await pages.post(path, { answer: 'open' });
  expect(open()).toHaveLength(1);
  for (let time = 0; time < 2; time += 1) {
    expect((await pages.post(path, { answer: 'take-back' })).status).toBe(303);
    expect(open()).toEqual([]);
  }
  expect((await pages.get(tractor)).text).not.toContain('lift hums');
});

test('the sheet that shows what was noticed settles it where it is ticked, and only there', async () => {
  const visit = pages.outlook().visits.find((one) => one.machine === 'bank-tractor');
  if (visit === undefined) throw new Error('nothing is planned');
  await pages.post(`${tractor}/noticed`, { text: 'lift hums' });
  await pages.post(`${tractor}/noticed`, { text: 'seat squeaks' });
  const sheet = `/visits/${visit.id}/sheet`;
  const { text } = await pages.get(sheet);
  expect(text.match(/name="seen-to"/g)).toHaveLength(2);
  const fields = { task: visit.tasks, day: pages.outlook().today, go: 'record', 'seen-to': 'noticed-2' };
  expect((await pages.post(sheet, fields)).status).toBe(303);
  const noticed = gather(pages.books).machines.find((one) => one.machine === 'bank-tractor')?.noticed;
  expect(noticed).toMatchObject([
    { text: 'lift hums', state: 'open' },
    { text: 'seat squeaks', state: 'answered' },
  ]);
});
