import { simpleParser } from 'mailparser';
import { createTransport } from 'nodemailer';
import { expect, test } from 'vitest';
import { composeMail } from '../../src/channels/compose.js';
import { makeLinks } from '../../src/daemon/links.js';
import type { Home } from '../../src/domain/home.js';
import { enterNoticed } from '../../src/ledger/enter-noticed.js';
import { gather } from '../../src/ledger/gather.js';
import { allLetters } from '../../src/ledger/outbox.js';
import { makePermit } from '../../src/ledger/permit.js';
import { postLetters } from '../../src/ledger/post.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { writeLetter } from '../../src/words/letter.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

// Every page that can be reached, and every letter that goes out over some months, in households that want to break them.
const never = [
  /\bNaN\b/,
  /\bInfinity\b/,
  /\bundefined\b/,
  /\[object /,
  /\bnull\b/,
  /(?<![\d.,])1 (tasks|things|machines|days|hours|months|years|points|parts|more machines)\b/,
  /−\d+ (min|h|days|months)\b/,
  /Invalid Date/,
  /\.\.(?!\.)(?=\s|<|$)/,
  / ,| \.(?=\s)|\(\)/,
  /\b20\d\d-\d\d-\d\d\b/,
];

function complaints(text: string, markup = false): string[] {
  return [...never, ...(markup ? [/<script>alert|<img src=x/] : [])].flatMap((pattern) => {
    const found = pattern.exec(text);
    return found === null ? [] : [`${pattern}: …${text.slice(Math.max(0, found.index - 80), found.index + 60)}…`];
  });
}

/** What a person reads of a page: attributes that hold dates for machines left out. */
function readable(html: string): string {
  return html
    .replace(/<svg[\s\S]*?<\/svg>/g, (svg) => svg.replace(/<[^>]*>/g, ' '))
    .replace(/<(input|option)[^>]*>/g, ' ')
    .replace(/\s(href|action|id|name|value|for|data-[a-z]+|class|src|max|min|content)="[^"]*"/g, ' ');
}

async function crawl(pages: OpenPages, starts: readonly string[]): Promise<string[]> {
  const wrong: string[] = [];
  const seen = new Set<string>();
  const waiting = [...starts];
  for (let path = waiting.shift(); path !== undefined; path = waiting.shift()) {
    if (seen.has(path) || path.startsWith('/web/')) continue;
    seen.add(path);
    const { status, text } = await pages.get(path);
    // A visit may have gone into another since its letter; too many links a minute are not the question here.
    if (status === 429) continue;
    if (status !== 200 && !(status === 410 && /^\/(visits|v)\//.test(path))) wrong.push(`${path}: ${status}`);
    for (const complaint of complaints(readable(text), true)) wrong.push(`${path}: ${complaint}`);
    for (const [, href = ''] of text.matchAll(/href="(\/[^"#]*)/g)) waiting.push(href.replaceAll('&amp;', '&'));
  }
  if (pages.errors.length > 0) wrong.push(...pages.errors);
  return wrong;
}

/** Takes the turn of this moment as the service would; gives what is wrong with its letters. */
async function letPost(pages: OpenPages): Promise<string[]> {
  const home = pages.books.home();
  const outlook = pages.outlook();
  const facts = gather(pages.books);
  const letters = outlook.messages.map((message) => {
    const sheets = new Map(
      message.notices.flatMap((notice) => {
        const visit = outlook.visits.find((one) => one.id === notice.visit);
        const sheet = visit === undefined ? null : sheetOf(home, facts, visit);
        return sheet === null || visit === undefined ? [] : [[visit.id, sheet] as const];
      }),
    );
    return { message, letter: writeLetter(message, { home, outlook, sheets, links: makeLinks(pages.books) }) };
  });
  postLetters(pages.books, outlook, letters);
  const wrong: string[] = [];
  for (const { message, letter } of letters) {
    const to = home.household.people.find((person) => person.id === message.to);
    if (to === undefined) continue;
    const stored = allLetters(pages.books).at(-1);
    const envelope = {
      id: 'x',
      messageId: stored?.messageId ?? '<a@b.invalid>',
      to,
      letter,
      writtenAtMs: 0,
      inReplyTo: null,
    };
    const raw = await createTransport({ streamTransport: true, buffer: true }).sendMail(
      composeMail({ ...envelope, references: [] }, home.household, null),
    );
    const mail = await simpleParser(raw.message as Buffer);
    const text = `${mail.subject}\n${mail.text}`.replace(/http\S+/g, '');
    wrong.push(...complaints(text), ...complaints(readable(String(mail.html)), true));
    if (
      mail.headers.has('bcc') ||
      (mail.to !== undefined && [mail.to].flat().flatMap((one) => one.value).length !== 1)
    ) {
      wrong.push(`an injected header: ${mail.subject}`);
    }
  }
  return wrong;
}

/** Lives for some months, posting morning and evening, crawling now and then. */
async function live(pages: OpenPages, days: number): Promise<string[]> {
  const wrong: string[] = [];
  for (let half = 0; half < days * 2; half += 1) {
    pages.passDays(half % 2 === 0 ? 0.375 : 0.625);
    wrong.push(...(await letPost(pages)));
    if (half % 60 === 0) wrong.push(...(await crawl(pages, starts(pages))));
  }
  wrong.push(...(await crawl(pages, starts(pages))));
  return [...new Set(wrong)];
}

function starts(pages: OpenPages): string[] {
  const { books } = pages;
  const person = books.home().household.people[0]?.id ?? 'nobody';
  return [
    '/',
    ...pages
      .outlook()
      .visits.slice(0, 3)
      .map((v) => `/v/${makePermit(books, { scope: 'visit', subject: v.id, person, days: 9 })}`),
    ...books
      .home()
      .machines.map((m) => `/r/${makePermit(books, { scope: 'reading', subject: m.id, person, days: 9 })}`),
  ].filter((path) => person !== 'nobody' || path === '/');
}

const hostile = [
  '<script>alert(1)</script>',
  'A "quoted" \'name\' & <img src=x onerror=alert(1)>',
  'x'.repeat(200),
  '🚜 Trecker 🛠️ ',
  'Rosie\r\nBcc: thief@example.org',
  '=?utf-8?B?eA==?= %s {{y}}',
];

function withNames(home: Home): Home {
  const name = (index: number) => hostile[index % hostile.length] ?? '';
  return {
    household: {
      ...home.household,
      name: name(4),
      people: home.household.people.map((person, i) => ({ ...person, name: name(i) })),
    },
    machines: home.machines.map((machine, i) => ({
      ...machine,
      name: name(i),
      tasks: machine.tasks.map((task, j) => ({
        ...task,
        title: name(j + i),
        parts: task.parts.map((part) => ({ ...part, name: `${name(j)}${part.name}` })),
      })),
    })),
  };
}

test('the demo household', async () => {
  const pages = await openPages();
  expect(await live(pages, 75)).toEqual([]);
  await pages.close();
}, 300_000);

test('a household of hostile names', async () => {
  const pages = await openPages({}, false, withNames);
  for (const text of hostile) enterNoticed(pages.books, { machine: 'bank-tractor', text, by: null, key: null });
  const wrong = await live(pages, 35);
  expect(wrong).toEqual([]);
  await pages.close();
}, 300_000);

test('households without readings, without people, without machines', async () => {
  for (const alter of [
    (home: Home) => home,
    (home: Home) => ({ ...home, machines: [] }),
    (home: Home) => ({ ...home, household: { ...home.household, people: [] } }),
    (home: Home) => ({ ...home, machines: home.machines.map((m) => ({ ...m, gone: true })) }),
    (home: Home) => ({ ...home, machines: home.machines.map((m) => ({ ...m, tasks: [] })) }),
    (home: Home) => ({ ...home, machines: home.machines.map((m) => ({ ...m, tasks: m.tasks.slice(0, 1) })) }),
  ]) {
    const pages = await openPages({}, true, alter);
    expect(await live(pages, 8)).toEqual([]);
    await pages.close();
  }
}, 300_000);
