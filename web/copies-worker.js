// Keeps copies of the pages opened last, so that they open again where no signal is. The service always comes first: a copy is shown
// only while nothing answers, and says so. What may be kept the service says itself, page by page; signed links, secrets, entries
// and errors never are. Sent together with push-worker.js as one worker.

/** @typedef {{ waitUntil(promise: Promise<unknown>): void }} Waits */
/** @typedef {Waits & { request: Request, respondWith(answer: Promise<Response>): void }} Asked */
/** @typedef {{ path: string, title: string }} Held */

/** @type {any} A service worker's own scope, which the types of a page do not know. */
const scope = self;

const pagesName = 'pages';
/** Style and scripts; their address bears a mark of their content, so that one kept is never out of date. */
const filesName = 'files';
const mostPages = 30;
/** Days after which a copy tells too little to be shown; the same as for an unsent sheet. */
const keptDays = 30;
/** How long an answer is waited for before the copy is shown, ms; longer where a person asks for the page as it is now. */
const waitMs = { open: 3000, reload: 20_000 };
const atHeader = 'Copy-At';

/** Grows when the copies are thrown away: a page asked for before is not kept after. */
let throwing = 0;

scope.addEventListener('fetch', (/** @type {Asked} */ event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== scope.location.origin) return;
  if (request.method === 'POST' && pathname === '/sign-out') event.waitUntil(throwAway());
  if (pathname.startsWith('/web/')) return event.respondWith(giveFile(request));
  if (request.mode !== 'navigate') return event.respondWith(passOn(request));
  // A signed link carries its right in its address: neither that nor its page is touched here.
  const isOwnRight = /^\/(v|r|m|calendar)\/|^\/sign-(in|out)$/.test(pathname);
  if (request.method === 'GET' && !isOwnRight) event.respondWith(givePage(event, pathname));
});

scope.addEventListener('message', (/** @type {Waits & { data: any }} */ event) => {
  const { keep, files } = event.data ?? {};
  if (event.data === 'throw away') event.waitUntil(throwAway());
  // The first page of all was opened before there was a worker to see it.
  if (typeof keep === 'string' && Array.isArray(files)) event.waitUntil(keepOpened(keep, files));
});

/** @param {Asked} event
 *  @param {string} path
 *  @returns {Promise<Response>} */
async function givePage(event, path) {
  const { request } = event;
  const copy = await findCopy(path);
  const answer = askFor(request, path, copy !== null);
  // Kept also when it comes too late to be shown.
  event.waitUntil(answer.catch(() => undefined));
  if (copy === null) {
    const got = await answer.catch(() => null);
    return got !== null && !isFromInBetween(got) ? got : ((await sayNoCopy()) ?? got ?? Response.error());
  }
  const isReload = request.cache === 'no-cache' || request.cache === 'reload';
  const late = new Promise((done) => setTimeout(done, isReload ? waitMs.reload : waitMs.open));
  const soon = await Promise.race([answer, late]).catch(() => undefined);
  return soon instanceof Response && !isFromInBetween(soon) ? soon : showCopy(copy);
}

/** Whether a proxy in front answered that it does not reach the service (RFC 9110, sections 15.6.3 to 15.6.5): as good as no answer.
 *  The service's own word that it is ill is one.
 *  @param {Response} answer */
function isFromInBetween(answer) {
  return [502, 503, 504].includes(answer.status) && !isOurs(answer);
}

/** @param {Response} answer */
function isOurs(answer) {
  return answer.headers.has('Answered-By');
}

/** The page from the service, kept where the service allows it.
 *  @param {Request | string} request
 *  @param {string} path
 *  @param {boolean} isHeld  whether there is a copy of it */
async function askFor(request, path, isHeld) {
  const thrown = throwing;
  const answer = await fetch(request);
  // No page that may be kept ever leads on, so that what leads on is somebody's sign-in before the service.
  const isRefused = answer.status === 401 || answer.status === 403 || (isHeld && answer.type === 'opaqueredirect');
  if (isRefused) await throwAway();
  else if ((answer.status === 404 || answer.status === 410) && isOurs(answer))
    await (await caches.open(pagesName)).delete(path);
  if (answer.status !== 200 || answer.type !== 'basic' || answer.redirected || !answer.headers.has('Keep-Copy')) {
    return answer;
  }
  const shown = answer.clone();
  const headers = new Headers(answer.headers);
  headers.set(atHeader, String(Date.now()));
  headers.delete('Content-Encoding');
  headers.delete('Content-Length');
  const copy = new Response(await answer.text(), { headers });
  try {
    if (throwing === thrown) await keepCopy(path, copy);
    if (throwing !== thrown) await caches.delete(pagesName);
  } catch {
    // A full storage: the page itself is there.
  }
  return shown;
}

/** The newest last; the oldest go where they are too many.
 *  @param {string} path
 *  @param {Response} copy */
async function keepCopy(path, copy) {
  const pages = await caches.open(pagesName);
  await pages.delete(path);
  await pages.put(path, copy);
  const all = await pages.keys();
  for (const old of all.slice(0, Math.max(0, all.length - mostPages))) await pages.delete(old);
}

/** @param {string} path */
async function findCopy(path) {
  const copy = await (await caches.open(pagesName)).match(path);
  const at = Number(copy?.headers.get(atHeader));
  return copy === undefined || !(Date.now() - at < keptDays * 86_400_000) ? null : copy;
}

/** @param {Response} copy */
async function showCopy(copy) {
  const at = new Date(Number(copy.headers.get(atHeader)));
  const day = at.toLocaleDateString('en-GB', { weekday: 'long', day: 'numeric', month: 'long' });
  const time = at.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
  const line = `<p class="said" id="copy" role="status">This is the copy of ${day}, ${time}: the service does not answer just now. What you enter waits on this device for signal.</p>`;
  const text = (await copy.text()).replace('<main>', () => `<main>${line}`);
  return new Response(text, { headers: copy.headers });
}

/** For a page never opened here: what is kept instead, or null where nothing is.
 *  @returns {Promise<Response | null>} */
async function sayNoCopy() {
  const pages = await caches.open(pagesName);
  /** @type {Held[]} */
  const held = [];
  for (const { url } of await pages.keys()) {
    const { pathname } = new URL(url);
    const title = /<title>([^<]*)<\/title>/.exec((await (await findCopy(pathname))?.text()) ?? '')?.[1];
    if (title !== undefined) held.unshift({ path: pathname, title });
  }
  if (held.length === 0) return null;
  const ways = held.map(({ path, title }) => `<li><a class="way" href="${path}">${title}</a></li>`).join('');
  const text = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>No answer</title><link rel="stylesheet" href="/web/style.css"></head><body><main><h1>The service does not answer.</h1><p class="second">This page was not opened on this device before, so there is no copy of it. These are kept here, the newest first.</p><ul class="ways">${ways}</ul></main></body></html>`;
  return new Response(text, {
    status: 503,
    headers: {
      'Content-Type': 'text/html; charset=utf-8',
      'Content-Security-Policy': "default-src 'none'; style-src 'self'; frame-ancestors 'none'; base-uri 'none'",
    },
  });
}

/** A file of the pages: kept under its marked address; an older one will do where no signal is.
 *  @param {Request} request */
async function giveFile(request) {
  const files = await caches.open(filesName);
  const held = await files.match(request.url);
  if (held !== undefined) return held;
  const older = () => files.match(request.url, { ignoreSearch: true });
  try {
    const answer = await fetch(request);
    if (answer.status === 200 && answer.type === 'basic' && new URL(request.url).searchParams.has('v')) {
      const copy = answer.clone();
      await files.delete(request.url, { ignoreSearch: true });
      await files.put(request.url, copy).catch(() => undefined);
    }
    return isFromInBetween(answer) ? ((await older()) ?? answer) : answer;
  } catch (failure) {
    const held = await older();
    if (held !== undefined) return held;
    throw failure;
  }
}

/** What scripts of a page ask for is never kept; that the session is over is heard.
 *  @param {Request} request */
async function passOn(request) {
  const answer = await fetch(request);
  if (answer.status === 401) await throwAway();
  return answer;
}

/** @param {string} path
 *  @param {readonly unknown[]} files */
async function keepOpened(path, files) {
  for (const address of [path, ...files]) {
    const url = new URL(String(address), scope.location.origin);
    if (url.origin !== scope.location.origin) continue;
    if (address === path) await askFor(url.pathname, url.pathname, false);
    else if (url.pathname.startsWith('/web/')) await giveFile(new Request(url.href));
  }
}

/** Signed out, or no longer let in: this device shows nothing of the household any more. */
async function throwAway() {
  throwing += 1;
  await caches.delete(pagesName);
}
