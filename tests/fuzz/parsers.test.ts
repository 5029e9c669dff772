import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import { parseDay, parseInstant, parseTimeOfDay, parseZone } from '../../src/domain/day.js';
import { Fault } from '../../src/domain/fault.js';
import { parseQuantity } from '../../src/domain/quantity.js';
import { decode } from '../../src/feed/decode/decode.js';
import { parseFeedState } from '../../src/feed/state.js';
import { readReadingsCsv } from '../../src/formats/readings-csv.js';
import { readRecordsCsv } from '../../src/formats/records-csv.js';
import { readUsageCsv } from '../../src/formats/usage-csv.js';
import { loadHome } from '../../src/home/load-home.js';
import { opensCalendar } from '../../src/ledger/calendar-key.js';
import { makePermit, readPermit } from '../../src/ledger/permit.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

/** 5,000 inputs in all with every test run, 100,000 with SHEDBELL_FUZZ=nightly. */
const isNightly = process.env.SHEDBELL_FUZZ === 'nightly';
const share = isNightly ? 20 : 1;
/** Inputs, not a time limit, end a nightly run: a slow computer takes a quarter of an hour. */
if (isNightly) vi.setConfig({ testTimeout: 3_600_000 });
let inputs = 0;
let uncaught = 0;
/** What took longest so far: a pattern of exponential time would show here. */
let slowest = { ms: 0, bytes: 0, of: '' };
/** Spent on opening services so far, which says nothing of an input. */
let openingMs = 0;

const zone = parseZone('Europe/Lisbon');
let dir: string;
let pages: OpenPages;
beforeAll(async () => {
  dir = mkdtempSync(join(tmpdir(), 'shedbell-fuzz-'));
  for (const folder of ['machines', 'plans']) mkdirSync(join(dir, folder));
  pages = await openPages();
});
afterAll(async () => {
  await pages.close();
  rmSync(dir, { recursive: true, force: true });
  process.stdout.write(
    `fuzz: ${inputs} inputs, ${uncaught} uncaught; slowest ${slowest.ms.toFixed(0)} ms: ${slowest.bytes} bytes of ${slowest.of}\n`,
  );
});

/** Pieces that parsers know, and what people, programs and strangers send instead. */
const piece = fc.oneof(
  fc.constantFrom(
    ...[
      'hours',
      'day',
      'at',
      'machine',
      'tasks',
      'note',
      'name:',
      'feed:',
      'last:',
      'every: {',
      '}',
      '[',
      ']',
      '- ',
      ': ',
    ],
    ...[
      ',',
      ';',
      ')',
      ':\t',
      '"',
      "'",
      '\n',
      '\r\n',
      '\t',
      '\u0000',
      '\ufeff',
      '\u202e',
      '&a',
      '*a',
      '!!js/function',
      '<<: *a',
      '|',
      '>',
    ],
    ...[
      '1 5/16 in',
      '13.4 V',
      '-5',
      '1e999',
      'NaN',
      '0x10',
      '1/0',
      '2031-02-30',
      '2031-03-30T02:30',
      '24:00',
      '../../etc',
    ],
    ...['__proto__', 'constructor', '{"seconds":1}', '{"a":{"b":', '<script>', '%00', '%E0%A4%A', '½', '٣', '𝟗'],
  ),
  fc.string({ maxLength: 12 }),
  fc.string({ unit: 'binary', maxLength: 8 }),
  fc.double().map(String),
);
const text = fc.oneof(
  fc.array(piece, { maxLength: 30 }).map((pieces) => pieces.join('')),
  // The same piece over and over: what takes a pattern exponential time. Something else before and behind: a pattern that looks for
  // the end of such a run begins anew at each place in it.
  fc
    .tuple(piece, piece, fc.integer({ min: 1, max: 3000 }), piece)
    .map(([before, one, times, behind]) => `${before}${one.repeat(times).slice(0, 20_000)}${behind}`),
);

/** Whatever comes in is answered, or refused with a Fault in plain words; anything else is a bug. */
async function never<T>(runs: number, given: fc.Arbitrary<T>, read: (input: T) => unknown): Promise<void> {
  await fc.assert(
    fc.asyncProperty(given, async (input) => {
      inputs += 1;
      const startedMs = performance.now() - openingMs;
      try {
        await read(input);
      } catch (failure) {
        if (!(failure instanceof Fault)) {
          uncaught += 1;
          throw failure;
        }
        expect(failure.code).toMatch(/^[a-z]+(-[a-z]+)+$/);
        expect(failure.line).not.toMatch(/undefined|\[object/);
      } finally {
        const ms = performance.now() - openingMs - startedMs;
        if (ms > slowest.ms) {
          slowest = { ms, bytes: JSON.stringify(input).length, of: expect.getState().currentTestName ?? '' };
        }
      }
    }),
    { numRuns: runs * share },
  );
}

test('home files', async () => {
  const path = fc.constantFrom('household.yaml', 'machines/mower.yaml', 'plans/mine.yaml');
  await never(400, fc.tuple(path, text), ([name, content]) => {
    writeFileSync(join(dir, name), content);
    return loadHome(dir, {});
  });
});

test('CSV files', async () => {
  const heads = [
    'day,hours\n',
    'at;hours\r\n',
    'day,hours,tasks,note\n',
    'day,tasks,paid,currency\n',
    'day,machine,hours\n',
    '',
  ];
  await never(900, fc.tuple(fc.constantFrom(...heads), text), ([head, rest]) => {
    for (const read of [readReadingsCsv, readRecordsCsv, readUsageCsv])
      read(head + rest, 'x.csv', { currency: 'EUR', point: '.' });
  });
});

test('quantities, days and times', async () => {
  await never(900, text, parseQuantityAndKin);
});

async function parseQuantityAndKin(input: string): Promise<void> {
  for (const parse of [parseQuantity, parseDay, parseTimeOfDay, parseZone, (one: string) => parseInstant(one, zone)]) {
    try {
      parse(input);
    } catch (failure) {
      if (!(failure instanceof Fault)) throw failure;
    }
  }
}

test('payloads of sensors, which are never more than a refusal', async () => {
  const topic = 'a/b';
  const silentAfterMinutes = 15;
  const bytes = fc.oneof(
    fc.uint8Array({ maxLength: 400 }),
    text.map((one) => Buffer.from(one)),
    fc.json().map((one) => Buffer.from(one)),
  );
  const feeds: readonly Parameters<typeof decode>[0][] = [
    { kind: 'run-seconds', topic, pointer: '/seconds', timePointer: '/at', scale: 1, offset: 0, silentAfterMinutes },
    { kind: 'running', topic, yes: ['run'], no: ['stop'], scale: 1, offset: 0, silentAfterMinutes },
    { kind: 'meter-hours', topic, scale: 0.05, offset: 0, silentAfterMinutes },
    {
      kind: 'voltage',
      topic,
      aboveVolts: 13.4,
      belowVolts: 13,
      holdSeconds: 60,
      scale: 1,
      offset: 0,
      silentAfterMinutes,
    },
  ];
  await never(1500, fc.tuple(fc.constantFrom(...feeds), bytes), ([feed, payload]) => {
    const said = decode(feed, payload, zone);
    for (const value of Object.values(said)) if (typeof value === 'number') expect(value).not.toBeNaN();
    parseFeedState(Buffer.from(payload).toString());
  });
});

test('links and tokens: what is not ours opens nothing, and one changed character is enough', async () => {
  const permit = { scope: 'visit', subject: 'bank-tractor-oil-1', person: 'ines', days: 30 } as const;
  const token = makePermit(pages.books, permit);
  expect(readPermit(pages.books, token).kind).toBe('valid');
  const bent = fc
    .tuple(fc.nat(token.length - 1), fc.constantFrom(...'AZaz09_-'))
    .map(([at, letter]) => token.slice(0, at) + letter + token.slice(at + 1));
  await never(1000, fc.oneof(text, bent), (input) => {
    expect(opensCalendar(pages.books, input)).toBe(false);
    if (!input.startsWith(token)) expect(readPermit(pages.books, input).kind).toBe('forged');
  });
});

test('forms and addresses: never a broken page', async () => {
  const paths = [
    '/machines/bank-tractor/reading',
    '/machines/bank-tractor/noticed',
    '/machines/bank-tractor/not-used',
    '/sign-in',
    '/v/x',
    '/visits/x/sheet',
  ];
  const field = fc.constantFrom('hours', 'at', 'day', 'text', 'key', 'step', 'go', 'task', 'minutes', 'until', 'name');
  const form = fc.array(fc.tuple(field, text), { maxLength: 6 });
  let sent = 0;
  let server = pages;
  const opened: OpenPages[] = [];
  const door = fc.constantFrom('v', 'r', 'm', 'calendar', 'machines', 'visits', 'answered');
  const sending = fc.tuple(fc.constantFrom(...paths), form, fc.boolean(), door);
  await never(300, sending, async ([path, fields, isEncoded, door]) => {
    // A service of its own for every fifty, since one address is let in sixty times a minute.
    if (sent++ % 50 === 0) {
      const beganMs = performance.now();
      server = await openPages();
      opened.push(server);
      // The first page has everything computed.
      await (await fetch(`${server.url}/machines/bank-tractor`)).text();
      openingMs += performance.now() - beganMs;
    }
    const body = isEncoded
      ? new URLSearchParams(fields).toString()
      : fields
          .map(([, value]) => value)
          .join('&')
          .slice(0, 9000);
    const headers = { 'content-type': 'application/x-www-form-urlencoded' };
    const answer = await fetch(`${server.url}${path}`, { method: 'POST', body, headers, redirect: 'manual' });
    expect(answer.status).toBeLessThan(500);
    await answer.text();
    // As long as an address may be, by way of bytes, which leave no half of a sign; where it is cut, an escape may be cut too.
    const sign = Buffer.from(fields.map(([, value]) => value).join('')).toString();
    const address = encodeURIComponent(sign).slice(0, 12_000);
    const looked = await fetch(`${server.url}/${door}/${address}`, { redirect: 'manual' });
    expect(looked.status).toBeLessThan(500);
    await looked.text();
    expect(server.errors).toEqual([]);
  });
  for (const one of opened) await one.close();
});
