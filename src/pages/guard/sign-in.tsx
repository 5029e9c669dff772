import type { Request, RequestHandler, Response } from 'express';
import { dayMs } from '../../domain/day.js';
import type { Books } from '../../ledger/books.js';
import {
  beginSession,
  idOfToken,
  isSession,
  leaveSession,
  type SignedInDevice,
  signedInDevices,
} from '../../ledger/sessions.js';
import type { Assets } from '../assets.js';
import { Page, sendPage } from '../layout.js';
import { KeyField } from '../pieces.js';
import { cookiesOf, setCookie } from './cookies.js';
import { deviceOf } from './device-of.js';
import { newFormKey, readForm } from './form.js';
import { isPassword, keptPassword, markOf } from './password.js';
import { isTrustedHere, isVouchedFor } from './this-computer.js';

/** What the sign-in needs of the wiring. */
interface Door {
  readonly books: Books;
  /** Holds the password as it is kept; absent or empty: none is set. */
  readonly passwordFile?: string;
}

const cookieName = 'shedbell';
const passName = 'shedbell-pass';
/** A phone in the shed is asked about twice a year. */
const lastsMs = 180 * dayMs;
/** What a link led to can be looked at, and taken back, for this long. */
const passLastsMs = dayMs;

/** Pages that carry their own right, or tell nothing: signed links, the calendar's secret address, health, style, scripts and worker. */
const openPaths = [
  /^\/web\//i,
  /^\/worker\.js$/i,
  /^\/(v|r|m)\/[^/]+$/i,
  /^\/calendar\/[^/]+\.ics$/i,
  /^\/health$/i,
  /^\/sign-(in|out)$/i,
];

/** Lets through who may see the pages: this computer itself (unless `http: askHere`), a session, a trusted proxy's word. Everybody else gets the form, or
 *  word of how to set a password where there is none, and nothing more. */
export function guardSignIn(door: Door, assets: Assets): RequestHandler {
  return (request, response, next) => {
    if (openPaths.some((path) => path.test(request.path)) || mayEnter(door, request)) return next();
    if (keptPassword(door.passwordFile) === null) return sendUnset(response, assets);
    const isRead = request.method === 'GET' || request.method === 'HEAD';
    sendForm(response, assets, 401, {
      next: isRead ? request.originalUrl : '/',
      said: isRead ? null : 'Nothing was written down. Sign in, go back, and send it once more.',
    });
  };
}

/** Whether somebody may see and change everything. */
export function mayEnterAll(door: Door, request: Request): boolean {
  const { household } = door.books.home();
  if (isTrustedHere(request, household) || isVouchedFor(request, household)) return true;
  const kept = keptPassword(door.passwordFile);
  return kept !== null && cookiesOf(request, cookieName).some((token) => isSession(door.books, token, markOf(kept)));
}

/** By which right somebody sees all pages. */
export type HowEntered = 'this-computer' | 'proxy' | 'session';

/** By which right somebody who may see everything was let in, the first that fits. */
export function howEntered(door: Door, request: Request): HowEntered {
  const { household } = door.books.home();
  if (isTrustedHere(request, household)) return 'this-computer';
  return isVouchedFor(request, household) ? 'proxy' : 'session';
}

/** Every device that is signed in under the password of today, and the one that asks where it is among them. */
export function sessionsOpen(
  door: Door,
  request: Request,
): { readonly mine: SignedInDevice | undefined; readonly all: readonly SignedInDevice[] } {
  const kept = keptPassword(door.passwordFile);
  const all = kept === null ? [] : signedInDevices(door.books, markOf(kept));
  const ids = cookiesOf(request, cookieName).map(idOfToken);
  return { mine: all.find((one) => ids.includes(one.id)), all };
}

function mayEnter(door: Door, request: Request): boolean {
  if (mayEnterAll(door, request)) return true;
  const page = passFor(request.path.replace(/\/undo$/, ''));
  return cookiesOf(request, passName).some((pass) => isSession(door.books, pass, page));
}

/** Leads on from a signed link to the page of what it wrote down, which its bearer may see without signing in. */
export function leadOn(door: Door, request: Request, response: Response, path: string): void {
  if (!mayEnterAll(door, request)) {
    const [page = path] = path.split('?');
    const value = beginSession(door.books, passFor(page), passLastsMs);
    setCookie(request, response, { name: passName, value, path: page, maxAgeMs: passLastsMs });
  }
  response.redirect(303, path);
}

const passFor = (path: string) => `pass ${path}`;

/** The form, and for somebody signed in the way out. */
export function signInPage(door: Door, assets: Assets): RequestHandler {
  return (request, response) => {
    if (keptPassword(door.passwordFile) === null && !mayEnterAll(door, request)) return sendUnset(response, assets);
    if (!mayEnterAll(door, request)) return sendForm(response, assets, 200, { next: '/', said: null });
    sendPage(response, 200, <SignedIn assets={assets} isHere={isTrustedHere(request, door.books.home().household)} />);
  };
}

/** Takes the password and gives a session, or shows the form again; where none is set, says how to set one. */
export function signIn(door: Door, assets: Assets): RequestHandler {
  return async (request, response) => {
    const form = readForm(request);
    const kept = keptPassword(door.passwordFile);
    if (kept === null) return sendUnset(response, assets);
    const next = form.text('next');
    if (!(await isPassword(form.text('password'), kept))) {
      return sendForm(response, assets, 401, { next, said: 'That is not the password.' });
    }
    const value = beginSession(door.books, markOf(kept), lastsMs, deviceOf(request.headers['user-agent']));
    setCookie(request, response, { name: cookieName, value, path: '/', maxAgeMs: lastsMs });
    response.redirect(303, ownPath(next));
  };
}

/** Ends the session of this device and takes its cookie away. */
export function signOut(door: Door): RequestHandler {
  return (request, response) => {
    readForm(request);
    for (const token of cookiesOf(request, cookieName)) leaveSession(door.books, token);
    setCookie(request, response, { name: cookieName, value: null, path: '/', maxAgeMs: 0 });
    response.redirect(303, '/sign-in');
  };
}

/** A path of this service and nothing that leads elsewhere: `//elsewhere` and `/\elsewhere` are addresses to a browser. */
export function ownPath(path: string): string {
  return /^\/(?![/\\])[\x21-\x5b\x5d-\x7e]{0,500}$/.test(path) ? path : '/';
}

function sendForm(
  response: Response,
  assets: Assets,
  status: number,
  shown: { readonly next: string; readonly said: string | null },
): void {
  sendPage(
    response,
    status,
    <Page title="Sign in" assets={assets}>
      <h1>Sign in</h1>
      {shown.said === null ? null : (
        <p class="said" role="alert">
          {shown.said}
        </p>
      )}
      <form method="post" action="/sign-in">
        <KeyField value={newFormKey()} />
        <input type="hidden" name="next" value={ownPath(shown.next)} />
        <p>
          <label for="password">Password of this household</label>
          <input id="password" name="password" type="password" autocomplete="current-password" required />
        </p>
        <p class="acts">
          <button class="act" type="submit">
            Sign in
          </button>
        </p>
      </form>
      <p>Forgotten? On the computer that runs this: shedbell password sets a new one.</p>
    </Page>,
  );
}

function sendUnset(response: Response, assets: Assets): void {
  sendPage(
    response,
    403,
    <Page title="No password yet" assets={assets}>
      <h1>No password yet</h1>
      <p>From another device this page opens with a password only, and none is set.</p>
      <p>On the computer that runs this, type: shedbell password</p>
      <p>Then open this page again. Links in messages work without it.</p>
    </Page>,
  );
}

function SignedIn({ assets, isHere }: { readonly assets: Assets; readonly isHere: boolean }) {
  return (
    <Page title="Signed in" assets={assets}>
      <h1>Signed in</h1>
      {isHere ? (
        <p>On this computer itself nobody is asked.</p>
      ) : (
        <form method="post" action="/sign-out">
          <KeyField value={newFormKey()} />
          <p class="acts">
            <button class="act" type="submit">
              Sign out on this device
            </button>
          </p>
        </form>
      )}
    </Page>
  );
}
