// Starts the worker that keeps copies of pages, where the browser has one (https, or the computer itself), and makes a copy that is
// shown without signal fit to be written on. A module, so that its names are none of the other scripts.

/** Between two looks whether the service answers again, and longest that one takes, ms. */
const lookEveryMs = 20_000;
const patienceMs = 5000;

if (isSecureContext && 'serviceWorker' in navigator) void start();
const line = document.getElementById('copy');
if (line !== null) {
  renewForms();
  void watch(line);
}

async function start() {
  const { serviceWorker } = navigator;
  const isSignedOut = document.querySelector('form[action="/sign-in"]') !== null;
  const isSeen = serviceWorker.controller !== null;
  try {
    await serviceWorker.register('/worker.js');
    const { active } = await serviceWorker.ready;
    if (isSignedOut) active?.postMessage('throw away');
    // Without a query: that says what was just written down, which is not of later.
    else if (!isSeen && location.search === '') active?.postMessage({ keep: location.pathname, files: filesOf() });
  } catch {
    // No signal, or a browser that was told to keep nothing: the pages work without.
  }
}

function filesOf() {
  return [...document.querySelectorAll('link[href^="/web/"], script[src^="/web/"]')].map(
    (one) => one.getAttribute('href') ?? one.getAttribute('src'),
  );
}

/** A key belongs to one entry, and the form of a copy may be filled in more than once; its day is that of today. */
function renewForms() {
  for (const key of document.querySelectorAll('input[name="key"]')) {
    if (key instanceof HTMLInputElement) key.value = newKey();
  }
  const today = localDay();
  for (const day of document.querySelectorAll('input[type="date"][max]')) {
    if (!(day instanceof HTMLInputElement) || day.max >= today) continue;
    if (day.defaultValue === day.max) day.defaultValue = today;
    day.max = today;
  }
  for (const at of document.querySelectorAll('input[type="datetime-local"][max]')) {
    if (at instanceof HTMLInputElement) at.max = `${today}T23:59`;
  }
}

function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** Today where this device is, as a date field writes it. */
function localDay() {
  const now = new Date();
  const two = (/** @type {number} */ number) => String(number).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** Says once the service answers again, and offers the page as it is now: never by itself, somebody may be writing.
 *  @param {HTMLElement} at */
async function watch(at) {
  let isSaid = false;
  const look = async () => {
    if (isSaid || document.visibilityState !== 'visible') return;
    try {
      const answer = await fetch('/health', { cache: 'no-store', signal: AbortSignal.timeout(patienceMs) });
      await answer.text();
      if (!answer.headers.has('Answered-By')) return;
    } catch {
      return;
    }
    if (isSaid) return;
    isSaid = true;
    at.textContent = 'This is a copy, and the service answers again. ';
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'act';
    button.textContent = 'Show the page as it is now';
    button.addEventListener('click', () => location.reload());
    at.append(button);
  };
  addEventListener('online', look);
  document.addEventListener('visibilitychange', look);
  setInterval(look, lookEveryMs);
  await look();
}
