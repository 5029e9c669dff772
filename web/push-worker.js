// Shows what the service pushes, and opens its link. Sent together with copies-worker.js as one worker.

/** @typedef {{ waitUntil(promise: Promise<unknown>): void }} Waits */
/** @typedef {Waits & { data: { json(): unknown } | null }} Pushed */
/** @typedef {Waits & { notification: Notification }} Tapped */

/** @type {any} A service worker's own scope, which the types of a page do not know. */
const worker = self;

worker.addEventListener('install', () => worker.skipWaiting());
worker.addEventListener('activate', (/** @type {Waits} */ event) => event.waitUntil(worker.clients.claim()));

// A push without a notification is not allowed: browsers take the permission away for it, so even an unreadable one shows something.
worker.addEventListener('push', (/** @type {Pushed} */ event) => {
  const said = read(event.data);
  event.waitUntil(
    worker.registration.showNotification(said.title, {
      body: said.body,
      tag: said.tag,
      icon: '/web/icon.svg',
      data: { url: said.url },
    }),
  );
});

worker.addEventListener('notificationclick', (/** @type {Tapped} */ event) => {
  event.notification.close();
  const url = new URL(String(event.notification.data?.url ?? '/'), worker.location.origin);
  // Only pages of the service: the same path under the name by which this browser knows it.
  event.waitUntil(worker.clients.openWindow(`${worker.location.origin}${url.pathname}${url.search}`));
});

/** @param {{ json(): unknown } | null} data
 *  @returns {{ title: string, body: string, url: string, tag: string }} */
function read(data) {
  /** @type {any} */
  let held = null;
  try {
    held = data?.json();
  } catch {
    // Shown as what it is: something to look up.
  }
  /** @param {string} name
   *  @param {string} otherwise */
  const text = (name, otherwise) => (typeof held?.[name] === 'string' ? held[name] : otherwise);
  return {
    title: text('title', 'Shedbell has something to say'),
    body: text('body', 'Open the page to read it.'),
    url: text('url', '/notices'),
    tag: text('tag', 'shedbell'),
  };
}
