// Pictures of every page of the demo household, for a person to look at: into tests/pictures (ignored by git), with index.html to
// leaf through. Each on a small phone and on a desktop, light and dark; what is printed also as on paper. With --readme the three
// that the README shows are made anew in demo-data/pictures. Run after a build: node tests/stage/demo-pictures.mjs [--readme]
import { spawn } from 'node:child_process';
import { appendFileSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { loadHome } from '../../dist/home/load-home.js';
import { mailEndToken } from '../../dist/ledger/mail-ended.js';
import { openStore } from '../../dist/store/open.js';

const port = 8455;
const illPort = 8456;
/** As a phone on the home network calls the computer: it is asked to sign in. */
const homeName = 'shed.home.arpa';
const url = `http://localhost:${port}`;
const main = new URL('../../dist/main.js', import.meta.url).pathname;
const folder = new URL('../pictures/', import.meta.url).pathname;
const shown = new URL('../../demo-data/pictures/', import.meta.url).pathname;
const isForReadme = process.argv.includes('--readme');
/** How many pages of one kind are taken, such as machines or sheets. */
const mostOfAKind = 4;
/** Of these one tells all. */
const oneOfAKind = /^(why|hours|stock|label|reading|logbook|set-up-task|set-up-machine|set-up-copy|record|letter)$/;
const papers = /^(sheet|label|labels|set-up-copy|logbook)(-\d+)?$/;
const inReadme = { 'months-ahead': 'months-ahead', machine: 'machine', sheet: 'sheet' };

/** What kind of page an address opens; null for what is no page. */
const kinds = [
  [/^\/$/, 'months-ahead'],
  [/^\/machines$/, 'machines'],
  [/^\/machines\/[^/]+$/, 'machine'],
  [/^\/machines\/[^/]+\/reading$/, 'reading'],
  [/^\/machines\/[^/]+\/hours$/, 'hours'],
  [/^\/machines\/[^/]+\/stock$/, 'stock'],
  [/^\/machines\/[^/]+\/label$/, 'label'],
  [/^\/machines\/[^/]+\/logbook$/, 'logbook'],
  [/^\/machines\/[^/]+\/why\/[^/]+$/, 'why'],
  [/^\/visits\/[^/]+\/sheet$/, 'sheet'],
  [/^\/records\/[^/]+$/, 'record'],
  [/^\/labels$/, 'labels'],
  [/^\/notices$/, 'notices'],
  [/^\/notices\/[^/]+$/, 'letter'],
  [/^\/devices$/, 'devices'],
  [/^\/sign-in$/, 'sign-in'],
  [/^\/set-up$/, 'set-up'],
  [/^\/set-up\/machines\/[^/]+$/, 'set-up-machine'],
  [/^\/set-up\/machines\/[^/]+\/tasks\/[^/]+$/, 'set-up-task'],
  [/^\/set-up\/machines\/[^/]+\/copy$/, 'set-up-copy'],
  [/^\/set-up\/new-machine$/, 'new-machine'],
  [/^\/set-up\/household$/, 'set-up-household'],
  [/^\/set-up\/people\/[^/]+$/, 'set-up-person'],
  [/^\/set-up\/mail$/, 'set-up-mail'],
];

rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });
const taken = [];
const children = [];
const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  // A name of this computer on its network, as another device opens it.
  args: ['--no-sandbox', '--disable-gpu', `--host-resolver-rules=MAP ${homeName} 127.0.0.1`],
});
try {
  const demo = run(['demo'], port);
  const outbox = (await demo.says(/kept as files in (.+)/)).trim();
  const context = await browser.newContext({
    deviceScaleFactor: 2,
    locale: 'en-GB',
    // Each picture is of the page as the service gives it, never of a copy.
    serviceWorkers: 'block',
  });
  const page = await context.newPage();
  for (const { name, path } of await findPages(page)) {
    await page.goto(`${url}${path}`);
    await take(page, name);
  }
  const home = join(outbox, '..', '..');
  await takeSigned(page, outbox);
  await takeEndOfMail(page, home);
  await takeEntries(page);
  await takeForms(page);
  await page.goto(`${url}/nowhere`);
  await take(page, 'not-found');
  await takeTrouble(page, home);
  await takeElsewhere(page);
  writeFileSync(`${folder}index.html`, leaf());
  console.log(
    `${taken.length} pictures of ${new Set(taken.map(({ name }) => name)).size} pages in tests/pictures; index.html shows them all`,
  );
} finally {
  await browser.close();
  for (const child of children) child.kill('SIGTERM');
}

/** A picture of the page as it stands, for each size and light. */
async function take(page, name) {
  const views = [
    { view: 'phone', width: 360, height: 780, media: 'screen' },
    { view: 'desktop', width: 1280, height: 800, media: 'screen' },
    ...(papers.test(name) ? [{ view: 'paper', width: 703, height: 1000, media: 'print' }] : []),
  ];
  for (const { view, width, height, media } of views) {
    await page.setViewportSize({ width, height });
    for (const colorScheme of media === 'print' ? ['light'] : ['light', 'dark']) {
      await page.emulateMedia({ media, colorScheme });
      const file = `${name}-${view}-${colorScheme}.png`;
      await page.screenshot({ path: `${folder}${file}`, fullPage: true });
      taken.push({ name, file, view });
      if (!isForReadme || view !== 'phone' || colorScheme !== 'light' || !Object.hasOwn(inReadme, name)) continue;
      mkdirSync(shown, { recursive: true });
      await page.screenshot({ path: `${shown}${inReadme[name]}.png` });
    }
  }
  if (papers.test(name)) await page.pdf({ path: `${folder}${name}.pdf`, format: 'A4' });
  await page.emulateMedia({ media: 'screen', colorScheme: 'light' });
}

/** Every kind of page that links lead to from the first one, the nearest first. */
async function findPages(page) {
  const [open, seen, counts, found] = [['/', '/sign-in'], new Set(), new Map(), []];
  while (open.length > 0) {
    const path = open.shift();
    if (seen.has(path)) continue;
    seen.add(path);
    const kind = kinds.find(([pattern]) => pattern.test(path))?.[1];
    if (kind === undefined) continue;
    const count = (counts.get(kind) ?? 0) + 1;
    if (count > (oneOfAKind.test(kind) ? 1 : mostOfAKind)) continue;
    counts.set(kind, count);
    found.push({ name: count === 1 ? kind : `${kind}-${count}`, path });
    await page.goto(`${url}${path}`);
    const links = await page.locator('a[href^="/"]').evaluateAll((all) => all.map((one) => one.getAttribute('href')));
    open.push(...links.map((link) => new URL(link, url).pathname));
  }
  return found;
}

/** The pages behind the links of messages: nobody has to sign in for them. */
async function takeSigned(page, outbox) {
  const letters = readdirSync(outbox).sort().reverse();
  const isOpen = async () => (await page.locator('form [name=hours]').count()) > 0;
  for (const [kind, name, isWanted] of [
    ['v', 'confirm-link', isOpen],
    ['v', 'confirm-link-done', async () => !(await isOpen())],
    ['r', 'reading-link', isOpen],
  ]) {
    const pattern = new RegExp(`/${kind}/[A-Za-z0-9_.-]+`);
    for (const letter of letters) {
      // Quoted-printable text breaks long lines with an equals sign.
      const path = pattern.exec(readFileSync(join(outbox, letter), 'utf8').replace(/=\r?\n/g, ''))?.[0];
      if (path === undefined || (await page.goto(`${url}${path}`))?.status() !== 200 || !(await isWanted())) continue;
      await take(page, name);
      break;
    }
  }
}

/** The page that ends somebody's mail, and what it says then. The demo has no address from outside, so that no letter of it bears the link. */
async function takeEndOfMail(page, folder) {
  const read = loadHome(folder, {});
  if (read.kind !== 'home') throw new Error(read.faults.map(({ line }) => line).join('\n'));
  const person = read.home.household.people.find(({ secondAfterDays }) => secondAfterDays !== undefined);
  if (person === undefined) throw new Error('nobody in the demo is told second');
  const store = openStore(join(folder, 'data', 'shedbell.sqlite'));
  const token = mailEndToken({ store, home: () => read.home, clock: { nowMs: () => Date.now() } }, person.id);
  store.close();
  await page.goto(`${url}/m/${token}`);
  await take(page, 'end-mail');
  await page.click('button.main');
  await page.waitForLoadState();
  await take(page, 'end-mail-done');
}

/** What comes back for an entry: a question, a reading that counted, a record, and the record taken back. */
async function takeEntries(page) {
  await page.goto(`${url}/machines/bank-tractor/reading`);
  await page.fill('[name=hours]', '9000');
  await page.click('button.main');
  await page.waitForLoadState();
  await take(page, 'reading-question');
  await page.goto(url);
  const sheet = await page.locator('a[href^="/visits/"]').first().getAttribute('href');
  await page.goto(`${url}${sheet}`);
  await page.locator('form[data-sheet] button.main').last().click();
  await page.waitForLoadState();
  await take(page, page.url().includes('/records/') ? 'record-new' : 'sheet-refused');
}

/** A form of the household that shows what it will write, and one that is refused. */
async function takeForms(page) {
  await page.goto(`${url}/set-up/household`);
  await page.fill('[name=address]', 'http://shed.home.arpa:8377');
  await page.click('button.main');
  await take(page, 'form-shown');
  await page.goto(`${url}/set-up/household`);
  await page.fill('[name=timezone]', 'Nowhere');
  await page.click('button.main');
  await take(page, 'form-refused');
  await page.goto(`${url}/set-up/new-machine`);
  await page.fill('[name=name]', 'Yard loader');
  await page.click('button[type=submit]');
  await page.waitForLoadState();
  await take(page, 'new-machine-form');
}

/** The line about trouble on the first page, as for a file that can no longer be read. */
async function takeTrouble(page, home) {
  const [machine] = readdirSync(join(home, 'machines'));
  appendFileSync(join(home, 'machines', machine), '\nnonsense: yes\n');
  for (let tries = 0; tries < 60; tries += 1) {
    await page.goto(url);
    if ((await page.content()).includes('nonsense')) break;
    await new Promise((done) => setTimeout(done, 500));
  }
  await take(page, 'trouble');
}

/** A new household from another device: its way in; and the one page that is left when its data file is damaged. */
async function takeElsewhere(page) {
  const home = mkdtempSync(join(tmpdir(), 'shedbell-pictures-'));
  const start = () => run(['--home', home, 'start'], illPort);
  try {
    await run(['init', home], illPort).ended;
    appendFileSync(join(home, 'household.yaml'), `\naddress: http://${homeName}:${illPort}\n`);
    const service = start();
    await service.says(/http:\/\/localhost:(\d+)/);
    await page.goto(`http://${homeName}:${illPort}/`);
    await take(page, 'no-password-yet');
    const setting = run(['--home', home, 'password'], illPort);
    setting.type('a shed by the lane\n');
    await setting.ended;
    await page.reload();
    await take(page, 'sign-in-elsewhere');
    await page.goto(`http://localhost:${illPort}/`);
    await take(page, 'first-day');
    service.stop();
    await service.ended;
    writeFileSync(join(home, 'data', 'shedbell.sqlite'), 'this is no data file '.repeat(1000));
    await start().says(/http:\/\/localhost:(\d+)/);
    await page.goto(`http://localhost:${illPort}/`);
    await take(page, 'damaged');
    await page.goto(`http://${homeName}:${illPort}/`);
    await take(page, 'damaged-elsewhere');
  } finally {
    rmSync(home, { recursive: true, force: true });
  }
}

/** The command, and what it says. */
function run(argv, at) {
  const child = spawn(process.execPath, [main, ...argv], { env: { ...process.env, SHEDBELL_PORT: String(at) } });
  children.push(child);
  let text = '';
  const listeners = new Set();
  for (const stream of [child.stdout, child.stderr]) {
    stream.on('data', (piece) => {
      text += piece;
      for (const listen of listeners) listen();
    });
  }
  const ended = new Promise((done) => child.on('close', done));
  const says = (pattern) =>
    new Promise((done, fail) => {
      const listen = () => {
        const match = pattern.exec(text);
        if (match !== null) done(match[1]);
      };
      listeners.add(listen);
      void ended.then(() => fail(new Error(`${argv.join(' ')} ended: ${text}`)));
      listen();
    });
  return { ended, says, type: (line) => child.stdin.end(line), stop: () => child.kill('SIGTERM') };
}

/** All pictures on one page, those of one page side by side. */
function leaf() {
  const rows = [...new Set(taken.map(({ name }) => name))].map((name) => {
    const pictures = taken
      .filter((one) => one.name === name)
      .map(
        ({ file, view }) => `<a href="${file}"><img src="${file}" alt="${file}" loading="lazy" class="${view}"></a>`,
      );
    return `<h2>${name}</h2><div>${pictures.join('')}</div>`;
  });
  return `<!doctype html><meta charset="utf-8"><title>Every page</title><style>body{font-family:sans-serif}div{display:flex;gap:12px;align-items:flex-start;overflow-x:auto}img{border:1px solid #999;width:360px}img.desktop{width:640px}</style>${rows.join('')}`;
}
