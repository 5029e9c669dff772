// Entries made where no signal is: kept on this device, shown, and sent once the service can be reached again. Works over plain
// http, where no service worker runs, on every page that is still open or opened again; copies-worker.js opens them without signal. Each form bears a key of its own, so that an
// entry sent twice counts once.

/** Where entries wait; one list for all pages. */
const listName = 'waiting';
/** Longest that one try to reach the service takes, milliseconds. */
const patienceMs = 5000;
/** Between tries while something waits, milliseconds. */
const againMs = 30_000;

/** @typedef {{ action: string, body: string, label: string, at: number, isOfNow: boolean, refused: boolean, reason?: string }} Entry */

let isSending = false;
/** The session of this device is over: nothing of all pages would be taken until somebody signs in. */
let isSignedOut = false;

for (const form of document.querySelectorAll('form[data-waits]')) {
  if (form instanceof HTMLFormElement) form.addEventListener('submit', (event) => void submitted(event, form));
}
addEventListener('online', () => void sendAll());
addEventListener('storage', show);
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'visible') void sendAll();
});
setInterval(() => void sendAll(), againMs);
show();
void sendAll();

/** Sends the form where the service answers, and leads on to the page that comes back; else the entry waits here.
 *  @param {SubmitEvent} event
 *  @param {HTMLFormElement} form */
async function submitted(event, form) {
  const { submitter } = event;
  const button = submitter instanceof HTMLButtonElement ? submitter : null;
  // Only looking at a verdict is nothing to send later.
  if (button?.value === 'look') return;
  event.preventDefault();
  const fields = new FormData(form);
  if (button !== null && button.name !== '') fields.append(button.name, button.value);
  const action = button?.hasAttribute('formaction') === true ? button.formAction : form.action;
  const body = new URLSearchParams();
  for (const [name, value] of fields) if (typeof value === 'string') body.append(name, value);
  if (await isReachable(action)) {
    const answer = await sendNow(action, body);
    if (answer !== null) {
      if (answer.redirected) {
        location.assign(answer.url);
        return;
      }
      // What was not taken comes back with its question or its reason: the form goes its usual way, and its page says it.
      if (button !== null && button.name !== '') addHidden(form, button.name, button.value);
      form.action = action;
      form.submit();
      return;
    }
  }
  // What was seen is of now, not of when the signal comes back.
  const isOfNow = form.elements.namedItem('at') !== null && body.get('at') === '';
  const key = body.get('key');
  const entry = {
    action,
    body: body.toString(),
    label: form.dataset.waits ?? 'An entry',
    at: Date.now(),
    isOfNow,
    refused: false,
  };
  const earlier = entries().find((one) => new URLSearchParams(one.body).get('key') === key);
  // The same form pressed again is one entry; filled in anew on the same open page it is another, with a key of its own.
  if (earlier !== undefined && earlier.body !== entry.body) {
    body.set('key', newKey());
    entry.body = body.toString();
  }
  const isKept = earlier?.body === entry.body || write([...entries(), entry]);
  if (!isKept) say(form, 'No signal, and this device keeps nothing. Write it on paper, or try again.');
  show();
}

/** Sends a form's fields, so that a signal that is lost on the way loses no entry: it waits, and counts once all the same.
 *  @param {string} action
 *  @param {URLSearchParams} body
 *  @returns {Promise<Response | null>} null where the service was not reached, or cannot keep anything now */
async function sendNow(action, body) {
  try {
    const answer = await fetch(action, { method: 'POST', body, signal: AbortSignal.timeout(4 * patienceMs) });
    // To the end, so that leaving the page breaks nothing off.
    await answer.text();
    return isOurs(answer) && answer.status !== 503 ? answer : null;
  } catch {
    return null;
  }
}

/** Works over plain http too, where a browser has no randomUUID. */
function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** @param {HTMLFormElement} form
 *  @param {string} name
 *  @param {string} value */
function addHidden(form, name, value) {
  const field = document.createElement('input');
  field.type = 'hidden';
  field.name = name;
  field.value = value;
  form.append(field);
}

/** @param {HTMLFormElement} form
 *  @param {string} text */
function say(form, text) {
  const line = document.createElement('p');
  line.className = 'said';
  line.setAttribute('role', 'alert');
  line.textContent = text;
  form.prepend(line);
}

/** Whether the service answers and would take an entry sent there: signed links need no session, all else does.
 *  @param {string} action
 *  @returns {Promise<boolean>} */
async function isReachable(action) {
  try {
    const answer = await fetch('/health', { cache: 'no-store', signal: AbortSignal.timeout(patienceMs) });
    // To the end, so that leaving the page breaks nothing off.
    const said = await answer.json();
    // A proxy in front that does not reach the service; or a service that cannot write anything down now.
    if (!isOurs(answer) || said.database === 'failing') return false;
    isSignedOut = said.signedIn === false && !/^\/[vr]\//.test(new URL(action, location.href).pathname);
    if (isSignedOut) return false;
    // In doubt about its clock, the service still takes entries.
    return answer.status === 200 || answer.status === 503;
  } catch {
    return false;
  }
}

/** Whether the service itself answered, and no proxy or sign-in page in front of it.
 *  @param {Response} answer */
function isOurs(answer) {
  return answer.headers.has('Answered-By');
}

/** Why an entry was not taken, or the question about it, as its page says it; empty where it says nothing.
 *  @param {Response} answer */
async function reasonOf(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const said = page.querySelector('main [role=alert] p')?.textContent ?? '';
  return said.replace(/^\s*Not taken\.\s*/, '').trim();
}

/** Sends what waits, the oldest first. What the service refuses stays, said as refused, until a person drops it. */
async function sendAll() {
  if (isSending || entries().every((entry) => entry.refused)) return;
  isSending = true;
  isSignedOut = false;
  try {
    for (const entry of entries()) {
      if (entry.refused) continue;
      const answer = await fetch(entry.action, {
        method: 'POST',
        headers: { 'Content-Type': 'application/x-www-form-urlencoded' },
        body: entry.isOfNow ? await dated(entry) : entry.body,
        signal: AbortSignal.timeout(4 * patienceMs),
      });
      // Not one word of it has reached the service: all wait on.
      if (!isOurs(answer)) return;
      // A taken entry is answered by leading on to its page; an error page says that it was not taken.
      if (answer.status === 401) {
        isSignedOut = true;
        continue;
      }
      const isTaken = answer.redirected || answer.ok;
      if (!isTaken && (answer.status >= 500 || answer.status === 429)) return;
      const reason = isTaken ? '' : await reasonOf(answer);
      write(
        entries().flatMap((one) =>
          one.body !== entry.body ? [one] : isTaken ? [] : [{ ...one, refused: true, reason }],
        ),
      );
    }
  } catch {
    // Still no signal: they wait on.
  } finally {
    isSending = false;
    show();
  }
}

/** The entry with the instant at which it was made, by the clock of the service: that of a phone may be wrong.
 *  @param {Entry} entry */
async function dated(entry) {
  const answer = await fetch('/health', { cache: 'no-store', signal: AbortSignal.timeout(patienceMs) });
  if (!isOurs(answer)) throw new Error('the service did not answer');
  const serviceMs = Date.parse(String((await answer.json()).now));
  const madeMs = serviceMs - Math.max(0, Date.now() - entry.at);
  const body = new URLSearchParams(entry.body);
  if (Number.isFinite(madeMs)) body.set('at', `${new Date(madeMs).toISOString().slice(0, 19)}Z`);
  return body.toString();
}

/** @returns {Entry[]} */
function entries() {
  try {
    const list = JSON.parse(localStorage.getItem(listName) ?? '[]');
    return Array.isArray(list)
      ? list.filter((one) => typeof one?.action === 'string' && typeof one?.body === 'string')
      : [];
  } catch {
    return [];
  }
}

/** @param {Entry[]} list
 *  @returns {boolean} whether it is kept */
function write(list) {
  try {
    if (list.length === 0) localStorage.removeItem(listName);
    else localStorage.setItem(listName, JSON.stringify(list));
    return true;
  } catch {
    return false;
  }
}

/** Says on every page what waits, at the top where it is seen. */
function show() {
  const list = entries();
  document.getElementById('waiting')?.remove();
  if (list.length === 0) return;
  const box = document.createElement('div');
  box.id = 'waiting';
  box.className = 'said';
  box.setAttribute('role', 'status');
  const waiting = list.filter((entry) => !entry.refused);
  if (waiting.length > 0) box.append(line(sayWaiting(waiting)));
  for (const entry of list.filter((one) => one.refused)) {
    const text = line(
      `${entry.label} was not taken${entry.reason ? `: ${entry.reason}` : '.'} Open its page and enter it again. `,
    );
    text.append(
      button('Drop it here', () => {
        write(entries().filter((one) => one.body !== entry.body));
        show();
      }),
    );
    box.append(text);
  }
  if (waiting.length > 0 && isSignedOut) {
    const link = document.createElement('a');
    link.className = 'act';
    link.href = '/sign-in';
    link.textContent = 'Sign in to send';
    box.append(link);
  } else if (waiting.length > 0) box.append(button('Try now', () => void sendAll()));
  document.querySelector('main')?.prepend(box);
}

/** @param {Entry[]} waiting */
function sayWaiting(waiting) {
  const labels = waiting.map((entry) => entry.label).join('; ');
  return `${waiting.length === 1 ? '1 entry waits' : `${waiting.length} entries wait`} for signal: ${labels}. Kept on this device, and sent from here once the service answers.`;
}

/** @param {string} text */
function line(text) {
  const element = document.createElement('p');
  element.textContent = text;
  return element;
}

/** @param {string} text
 *  @param {() => void} act */
function button(text, act) {
  const element = document.createElement('button');
  element.type = 'button';
  element.className = 'act';
  element.textContent = text;
  element.addEventListener('click', act);
  return element;
}
