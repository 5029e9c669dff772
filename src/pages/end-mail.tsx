import type { RequestHandler, Response } from 'express';
import { dayOf } from '../domain/day.js';
import { type EndingMail, endMail, mailEnds, readMailEnd, takeUpMail } from '../ledger/mail-ended.js';
import { sayDate } from '../words/dates.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { bareToken } from './guard/bare-token.js';
import { newFormKey, readForm } from './guard/form.js';
import { isOneClickBody, oneClick } from './guard/one-click.js';
import { Page, sendPage } from './layout.js';
import { KeyField } from './pieces.js';
import { Sorry } from './trouble.js';

type TokenHandler = RequestHandler<{ token: string }>;

/** The page behind the link that ends somebody's mail: one button. Programs that only look change nothing. */
export function endMailPage(given: Given, assets: Assets): TokenHandler {
  return (request, response) => {
    const token = bareToken(request.params.token);
    const ending = readMailEnd(given.books, token);
    if (ending.kind !== 'open') {
      sendOutcome(given, assets, response, ending);
      return;
    }
    sendPage(
      response,
      200,
      <Page title="No more mail" assets={assets}>
        <h1>No more mail to {nameOf(given, ending.person)}?</h1>
        <p class="second">
          Letters from {given.books.home().household.name} about its machines end. Nothing changes before you press the
          button.
        </p>
        <form method="post" action={`/m/${token}`}>
          <p class="acts">
            <button class="act main" type="submit" name={oneClick.name} value={oneClick.value}>
              No more mail
            </button>
          </p>
        </form>
      </Page>,
    );
  };
}

/** One click, by the button or by a mail provider: no cookie, no redirect; sent twice it is one wish. */
export function takeEndOfMail(given: Given, assets: Assets): TokenHandler {
  return (request, response) => {
    if (!isOneClickBody(request)) {
      const sentence = 'Nothing was changed. Open the link and press the button there.';
      const page = (
        <Sorry assets={assets} heading="This was not the click that ends the mail." sentences={[sentence]} />
      );
      sendPage(response, 400, page);
      return;
    }
    sendOutcome(given, assets, response, endMail(given.books, bareToken(request.params.token)));
  };
}

/** The way back, by somebody of the household. */
export function takeMailUp(given: Given): RequestHandler {
  return (request, response) => {
    takeUpMail(given.books, readForm(request).text('person'));
    response.redirect(303, '/notices');
  };
}

/** Who asked for no more mail, since when, and the way back. */
export function MailEnds({ given }: { readonly given: Given }) {
  const { household } = given.books.home();
  const ends = mailEnds(given.books);
  if (ends.length === 0) return null;
  const today = dayOf(given.books.clock.nowMs(), household.zone);
  return (
    <section>
      <h2>No more mail</h2>
      <p class="small">
        These people asked for no more mail. Their other ways go on; what would have gone by mail alone is kept as a
        file in the folder data/outbox.
      </p>
      <ul class="tasks">
        {ends.map(({ person, atMs }) => (
          <li>
            <strong>{nameOf(given, person)}</strong>
            <span class="small">since {sayDate(dayOf(atMs, household.zone), today, household.locale)}</span>
            <form method="post" action="/notices/mail-again">
              <KeyField value={newFormKey()} />
              <input type="hidden" name="person" value={person} />
              <button class="act" type="submit">
                Send mail again
              </button>
            </form>
          </li>
        ))}
      </ul>
    </section>
  );
}

interface Outcome {
  readonly status: number;
  readonly heading: string;
  readonly sentence: string;
}

const newerLetter = 'Nothing was changed. A newer letter holds a link that works.';

function outcomeOf(given: Given, ending: EndingMail): Outcome {
  switch (ending.kind) {
    case 'open':
    case 'ended':
      return {
        status: 200,
        heading: `No more mail goes to ${nameOf(given, ending.person)}.`,
        sentence: 'The household can take that back on its page of notices.',
      };
    case 'spent':
      return { status: 410, heading: 'Mail was asked for again after this letter.', sentence: newerLetter };
    case 'expired':
      return { status: 410, heading: 'This link is too old.', sentence: newerLetter };
    case 'of-the-household':
      return {
        status: 403,
        heading: 'This mail goes to somebody who looks after the machines.',
        sentence: 'Nothing was changed. What is sent to them is set in household.yaml.',
      };
    case 'forged':
      return {
        status: 403,
        heading: 'This link does not open anything.',
        sentence: 'It was not made by this service, or it was changed or cut short on its way. Nothing was changed.',
      };
  }
}

function sendOutcome(given: Given, assets: Assets, response: Response, ending: EndingMail): void {
  const { status, heading, sentence } = outcomeOf(given, ending);
  sendPage(response, status, <Sorry assets={assets} heading={heading} sentences={[sentence]} />);
}

function nameOf(given: Given, id: string): string {
  return given.books.home().household.people.find((one) => one.id === id)?.name ?? `${id}, who left the household`;
}
