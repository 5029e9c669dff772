import ICAL from 'ical.js';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { parseDay } from '../../src/domain/day.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

/** The path of the calendar as the notices page links to it. */
async function feedPath(): Promise<string> {
  const { text } = await pages.get('/notices');
  const path = /href="http:\/\/[^"/]+(\/calendar\/[A-Za-z0-9_-]{43}\.ics)"/.exec(text)?.[1];
  if (path === undefined) throw new Error('the notices page does not link to the calendar');
  return path;
}

function eventsIn(text: string, isCancelled = false) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  const events = calendar.getAllSubcomponents('vevent').map((one) => new ICAL.Event(one));
  return events.filter((event) => (event.component.getFirstPropertyValue('status') === 'CANCELLED') === isCancelled);
}

test('the address on the notices page gives every visit ahead, as another parser reads it', async () => {
  const { status, text, headers } = await pages.get(await feedPath());
  expect(status).toBe(200);
  expect(headers.get('content-type')).toBe('text/calendar; charset=utf-8');
  const events = eventsIn(text);
  const { visits } = pages.outlook();
  expect(visits.length).toBeGreaterThan(3);
  expect(events.map((event) => event.uid.split('@')[0])).toEqual(visits.map((visit) => visit.id));
  expect(events.map((event) => event.startDate.toString())).toEqual(visits.map((visit) => visit.day));
  for (const line of text.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
});

test('fetched twice without a change it is the same, byte for byte, and a program that has it gets 304', async () => {
  const path = await feedPath();
  const first = await pages.get(path);
  const second = await pages.get(path);
  expect(second.text).toBe(first.text);
  const etag = first.headers.get('etag') ?? '';
  expect(etag).toMatch(/^"[A-Za-z0-9_-]{43}"$/);
  expect(second.headers.get('etag')).toBe(etag);
  const kept = await pages.get(path, { 'If-None-Match': etag });
  expect([kept.status, kept.text]).toEqual([304, '']);
  expect((await pages.get(path, { 'If-None-Match': `"else", W/${etag}` })).status).toBe(304);
  expect((await pages.get(path, { 'If-None-Match': '"else"' })).status).toBe(200);
});

test('work that is done leaves the calendar, and what follows it is told anew', async () => {
  const path = await feedPath();
  const before = await pages.get(path);
  const [visit] = pages.outlook().visits;
  if (visit === undefined) throw new Error('nothing is planned');
  const { today } = pages.outlook();
  await pages.post(`/visits/${visit.id}/sheet`, { task: visit.tasks, hours: '', day: today, go: 'record' });
  const after = await pages.get(path, { 'If-None-Match': before.headers.get('etag') ?? '' });
  expect(after.status).toBe(200);
  const ids = (text: string) => eventsIn(text).map((event) => event.uid.split('@')[0]);
  expect(ids(before.text)).toContain(visit.id);
  expect(ids(after.text)).not.toContain(visit.id);
  expect(eventsIn(after.text, true).map((event) => event.uid.split('@')[0])).toContain(visit.id);
});

test('days later a visit that stands on its day with its jobs keeps its number and its instants', async () => {
  const path = await feedPath();
  const jobs = (description: string) => description.split('\n').filter((line) => line.startsWith('- '));
  const stamps = (text: string) =>
    new Map(
      eventsIn(text).map((event) => [
        `${event.uid} ${event.startDate} ${jobs(event.description).join()}`,
        `${event.sequence} ${event.component.getFirstPropertyValue('dtstamp')}`,
      ]),
    );
  const before = stamps((await pages.get(path)).text);
  pages.passDays(3);
  const after = stamps((await pages.get(path)).text);
  const same = [...after.keys()].filter((key) => before.has(key));
  expect(same.length).toBeGreaterThan(3);
  for (const key of same) expect(after.get(key)).toBe(before.get(key));
});

test('the calendar opens the sheet and holds no link that could confirm anything', async () => {
  const { text } = await pages.get(await feedPath());
  const addresses = eventsIn(text).map((event) => new URL(String(event.component.getFirstPropertyValue('url'))));
  for (const { pathname } of addresses) expect((await pages.get(pathname)).status).toBe(200);
  expect(text.replaceAll('\r\n ', '')).not.toMatch(/\/[vr]\//);
});

test.each([
  '/calendar/',
  '/calendar/x.ics',
  `/calendar/${'A'.repeat(43)}.ics`,
  '/calendar/..%2fnotices.ics',
  '/calendar/%00.ics',
])('a guessed address such as %s is a page that is not there', async (path) => {
  const { status, text } = await pages.get(path);
  expect(status).toBe(404);
  expect(text).not.toContain('BEGIN:VCALENDAR');
});

test('a new address opens the calendar and ends the old one; the same form twice makes one', async () => {
  const old = await feedPath();
  const was = /name="was" value="([^"]+)"/.exec((await pages.get('/notices')).text)?.[1] ?? '';
  expect((await pages.post('/calendar/renew', { was })).status).toBe(303);
  const fresh = await feedPath();
  expect((await pages.post('/calendar/renew', { was })).status).toBe(303);
  expect(await feedPath()).toBe(fresh);
  expect((await pages.get(old)).status).toBe(404);
  expect((await pages.get(fresh)).status).toBe(200);
});

test('another site cannot make the address new', async () => {
  const path = await feedPath();
  const { status } = await pages.post('/calendar/renew', { was: 'calendar-1' }, { origin: 'http://elsewhere.example' });
  expect(status).toBe(403);
  expect((await pages.get(path)).status).toBe(200);
});

test('with an address of the household, the calendar and its sheets are found under it', async () => {
  const elsewhere = await openPages({ address: 'http://shed.example:8377/' });
  try {
    const { text } = await elsewhere.get('/notices');
    const url = /href="(http:[^"]+\.ics)"/.exec(text)?.[1] ?? '';
    expect(url).toMatch(/^http:\/\/shed\.example:8377\/calendar\//);
    const [event] = eventsIn((await elsewhere.get(new URL(url).pathname)).text);
    expect(String(event?.component.getFirstPropertyValue('url'))).toMatch(
      /^http:\/\/shed\.example:8377\/visits\/.+\/sheet$/,
    );
    expect(parseDay(event?.startDate.toString() ?? '')).toBe(elsewhere.outlook().visits[0]?.day);
  } finally {
    await elsewhere.close();
  }
});
