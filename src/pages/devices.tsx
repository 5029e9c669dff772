import { type RequestHandler, Router } from 'express';
import { dayOf } from '../domain/day.js';
import { closeSentLinks, permitKeyId } from '../ledger/permit.js';
import { dropPushDevice, enterPushDevice, pushDevices } from '../ledger/push-devices.js';
import { sayDate } from '../words/dates.js';
import { ended } from '../words/sentence.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { newFormKey, readForm } from './guard/form.js';
import { sendPlain } from './guard/plain.js';
import { Page, sendPage } from './layout.js';
import { KeyField } from './pieces.js';
import { endSignedIn, SignedIn } from './signed-in.js';

/** The devices of the household: who is signed in, and which are told by push; the browser's asking, taking one away. */
export function deviceRoutes(given: Given, assets: Assets): Router {
  const router = Router();
  router.get('/devices', devicesPage(given, assets));
  router.post('/devices', takeDevice(given));
  router.post('/devices/signed-in/:id/end', endSignedIn(given));
  router.post('/devices/links/close', closeLinks(given));
  router.post('/devices/:id/remove', removeDevice(given));
  return router;
}

function devicesPage(given: Given, assets: Assets): RequestHandler {
  return (request, response) => {
    const { household } = given.books.home();
    const today = dayOf(given.books.clock.nowMs(), household.zone);
    const readiness = given.push?.() ?? { kind: 'not', why: 'Push is not set up here.' };
    const devices = pushDevices(given.books);
    const name = (id: string) => household.people.find((one) => one.id === id)?.name ?? `${id}, who left the household`;
    sendPage(
      response,
      200,
      <Page title="Devices" assets={assets}>
        <SignedIn given={given} request={request} />
        <section>
          <h2 id="messages">Messages on this device</h2>
          <p>
            A browser can show a message the moment it is written, also while the page is closed. It is encrypted for
            this device; the push service of the browser’s maker passes it on and cannot read it.
          </p>
        </section>
        {readiness.kind === 'not' ? (
          <p>{readiness.why}</p>
        ) : (
          <section data-push-key={readiness.publicKey}>
            <p data-push-says role="status">
              Without scripts, a browser cannot ask.
            </p>
            <div data-push-form hidden>
              <label>
                <span>Messages for</span>
                <select name="person">
                  {household.people.map((person) => (
                    <option value={person.id}>{person.name}</option>
                  ))}
                </select>
              </label>
              <p class="acts">
                <button class="act main" type="button">
                  Show messages on this device
                </button>
              </p>
            </div>
          </section>
        )}
        <section>
          <h2>Why https is needed</h2>
          <p>
            Browsers allow this only on pages whose address begins with https, so that nobody on the way can pretend to
            be the service; on the computer itself, http://localhost will do. This service speaks plain http at home.
            For https, put a proxy with a certificate that your devices trust in front of it, and write the proxy’s
            address as address: in household.yaml. Until then messages come by mail or on the page, and nothing is
            missing.
          </p>
        </section>
        {devices.length === 0 ? null : (
          <section>
            <h2>Devices that are told</h2>
            <ul class="tasks">
              {devices.map((device) => (
                <li>
                  <strong>{name(device.person)}</strong>
                  <span class="small">
                    by {new URL(device.endpoint).hostname}, since{' '}
                    {sayDate(dayOf(device.addedAtMs, household.zone), today, household.locale)}
                    {device.lastWord === null ? '' : `. The last message did not get there: ${ended(device.lastWord)}`}
                  </span>
                  <form method="post" action={`/devices/${device.id}/remove`}>
                    <KeyField value={newFormKey()} />
                    <button class="act" type="submit">
                      Tell it nothing any more
                    </button>
                  </form>
                </li>
              ))}
            </ul>
          </section>
        )}
        <section>
          <h2 id="links">Links in messages</h2>
          {request.query.links === 'closed' ? (
            <p class="said" role="status">
              Links of messages that went out before open nothing any more.
            </p>
          ) : null}
          <p>
            Whoever has a message can confirm its work by the link in it, without signing in, until the link’s days are
            over. If messages fell into other hands, close the links of all that went out so far; those of messages to
            come will open.
          </p>
          <form method="post" action="/devices/links/close">
            <KeyField value={newFormKey()} />
            <input type="hidden" name="was" value={permitKeyId(given.books)} />
            <button class="act" type="submit">
              Close all links sent so far
            </button>
          </form>
        </section>
      </Page>,
    );
  };
}

/** The same wish sent twice closes them once. */
function closeLinks(given: Given): RequestHandler {
  return (request, response) => {
    closeSentLinks(given.books, readForm(request).text('was'));
    response.redirect(303, '/devices?links=closed#links');
  };
}

/** A browser asks, or says once more that it wants to be told; the answer is a sentence for whoever tapped. */
function takeDevice(given: Given): RequestHandler {
  return (request, response) => {
    const form = readForm(request);
    const subscription = { endpoint: form.text('endpoint'), p256dh: form.text('p256dh'), auth: form.text('auth') };
    const outcome = enterPushDevice(given.books, form.text('person'), subscription);
    if (outcome.kind === 'refused') return sendPlain(response, 400, ended(outcome.fault.message));
    sendPlain(response, 200, 'Messages are shown on this device from now on.');
  };
}

function removeDevice(given: Given): RequestHandler<{ id: string }> {
  return (request, response) => {
    readForm(request);
    dropPushDevice(given.books, request.params.id);
    response.redirect(303, '/devices');
  };
}
