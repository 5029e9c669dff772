import type { Request, RequestHandler } from 'express';
import { dayOf } from '../domain/day.js';
import { endSessionOf, type SignedInDevice } from '../ledger/sessions.js';
import { sayDate } from '../words/dates.js';
import type { Given } from './given.js';
import { newFormKey, readForm } from './guard/form.js';
import { type HowEntered, howEntered, sessionsOpen } from './guard/sign-in.js';
import { KeyField } from './pieces.js';

const firstWords: Readonly<Record<HowEntered, string>> = {
  'this-computer': 'On this computer nobody is asked.',
  proxy: 'The proxy signs you in.',
  session: 'This device is signed in.',
};

/** Who is let in, in a sentence; the way out for this device, and for each other one. */
export function SignedIn({ given, request }: { readonly given: Given; readonly request: Request }) {
  const how = howEntered(given, request);
  const { mine, all } = sessionsOpen(given, request);
  const others = all.filter((one) => one.id !== mine?.id);
  return (
    <>
      <h1>{firstWords[how]}</h1>
      <p class="second">
        {mine === undefined
          ? 'Other devices are asked for the password of this household, and then stay signed in for half a year.'
          : `${sayMine(mine, sayWhen(given, mine))}. Signing out also throws away the copies of pages and asks for the password anew.`}
      </p>
      {mine === undefined ? null : (
        <form method="post" action="/sign-out">
          <KeyField value={newFormKey()} />
          <p class="acts">
            <button class="act main" type="submit">
              Sign out on this device
            </button>
          </p>
        </form>
      )}
      <section>
        <h2>{mine === undefined ? 'Devices signed in' : 'Other devices signed in'}</h2>
        {others.length === 0 ? (
          <p>{mine === undefined ? 'None.' : 'No other.'}</p>
        ) : (
          <>
            <p>One that was lost or given away is signed out here; a new password signs out all of them.</p>
            <ul class="tasks">
              {others.map((one) => (
                <li>
                  <strong>{capital(sayWhat(one))}</strong>
                  <span class="small">{capital(sayWhen(given, one))}.</span>
                  <form method="post" action={`/devices/signed-in/${one.id}/end`}>
                    <KeyField value={newFormKey()} />
                    <button class="act" type="submit" aria-label={`Sign it out: ${sayWhat(one)}`}>
                      Sign it out
                    </button>
                  </form>
                </li>
              ))}
            </ul>
          </>
        )}
      </section>
    </>
  );
}

/** Signs out one device; that it is out already is no fault. */
export function endSignedIn(given: Given): RequestHandler<{ id: string }> {
  return (request, response) => {
    readForm(request);
    endSessionOf(given.books, request.params.id);
    response.redirect(303, '/devices');
  };
}

function sayMine(one: SignedInDevice, when: string): string {
  return one.device === '' || one.device === 'a device' ? capital(when) : `It is ${one.device}, ${when}`;
}

function sayWhat(one: SignedInDevice): string {
  return one.device === '' ? 'a device' : one.device;
}

function sayWhen(given: Given, one: SignedInDevice): string {
  const { household } = given.books.home();
  const say = (atMs: number) =>
    sayDate(dayOf(atMs, household.zone), dayOf(given.books.clock.nowMs(), household.zone), household.locale);
  const until = `until ${say(one.expiresAtMs)}`;
  return one.begunAtMs === null ? `signed in ${until}` : `signed in since ${say(one.begunAtMs)}, ${until}`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
