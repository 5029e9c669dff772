// Asks this browser to be told, on the page for it; anywhere else it only tells the service anew that it still wants to be.

const personName = 'push-person';
/** @type {HTMLElement | null} */
const place = document.querySelector('[data-push-key]');
const canPush = isSecureContext && 'serviceWorker' in navigator && 'PushManager' in window && 'Notification' in window;

if (canPush) void sayAgain();
if (place !== null) offer(place);

/** @param {HTMLElement} at */
function offer(at) {
  const says = at.querySelector('[data-push-says]');
  const button = at.querySelector('button');
  const person = at.querySelector('select');
  if (says === null || button === null || person === null) return;
  if (!canPush) {
    says.textContent = isSecureContext
      ? 'This browser cannot be told. On an iPhone or iPad, put the page on the home screen first and open it from there.'
      : 'This page was opened without https, so the browser does not let it ask.';
    return;
  }
  at.hidden = false;
  at.querySelector('[data-push-form]')?.removeAttribute('hidden');
  says.textContent =
    Notification.permission === 'denied'
      ? 'This browser was told never to allow it; that is changed in its settings.'
      : '';
  button.addEventListener('click', async () => {
    says.textContent = 'Asking the browser …';
    try {
      says.textContent = await subscribe(at.dataset.pushKey ?? '', person.value);
      setTimeout(() => location.reload(), 1500);
    } catch (failure) {
      says.textContent = `It did not work: ${failure instanceof Error ? failure.message : String(failure)}`;
    }
  });
}

/** @param {string} key
 *  @param {string} person */
async function subscribe(key, person) {
  if ((await Notification.requestPermission()) !== 'granted')
    return 'The browser does not allow it. Nothing was changed.';
  await navigator.serviceWorker.register('/worker.js');
  const { pushManager } = await navigator.serviceWorker.ready;
  const before = await pushManager.getSubscription();
  if (before !== null && !isOf(before, key)) await before.unsubscribe();
  const subscription = await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key });
  try {
    localStorage.setItem(personName, person);
  } catch {
    // Then it is not said again by itself.
  }
  return post(subscription, person);
}

// Push services forget, and databases are restored from backups: each page opened says once more who wants to be told.
async function sayAgain() {
  try {
    const person = localStorage.getItem(personName);
    const registration = await navigator.serviceWorker.getRegistration('/');
    const subscription = (await registration?.pushManager.getSubscription()) ?? null;
    if (person !== null && subscription !== null) await post(subscription, person);
  } catch {
    // No signal, or no storage: the next page opened says it.
  }
}

/** @param {PushSubscription} subscription
 *  @param {string} person */
async function post(subscription, person) {
  const { endpoint, keys } = subscription.toJSON();
  const body = new URLSearchParams({
    key: crypto.randomUUID(),
    person,
    endpoint: endpoint ?? '',
    p256dh: keys?.p256dh ?? '',
    auth: keys?.auth ?? '',
  });
  const answer = await fetch('/devices', { method: 'POST', body, redirect: 'error' });
  return answer.text();
}

/** Whether a subscription was made with this key: one made with another reaches nobody.
 *  @param {PushSubscription} subscription
 *  @param {string} key */
function isOf(subscription, key) {
  const made = subscription.options.applicationServerKey;
  if (made === null) return false;
  const text = btoa(String.fromCharCode(...new Uint8Array(made)));
  return text.replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '') === key;
}
