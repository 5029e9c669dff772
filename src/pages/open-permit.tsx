import type { Response } from 'express';
import { readPermit } from '../ledger/permit.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { bareToken } from './guard/bare-token.js';
import { sendPage } from './layout.js';
import { Sorry } from './trouble.js';

interface OpenPermit {
  readonly token: string;
  readonly subject: string;
  readonly person: string;
}

/** Reads a link's token, or sends the page that says in plain words why it does not open. */
export function openPermit(
  given: Given,
  assets: Assets,
  response: Response,
  text: string,
  scope: 'visit' | 'reading',
): OpenPermit | null {
  const token = bareToken(text);
  const permit = readPermit(given.books, token);
  const isKnown =
    permit.kind !== 'forged' && given.books.home().household.people.some((person) => person.id === permit.person);
  if (permit.kind === 'valid' && permit.scope === scope && isKnown) {
    return { token, subject: permit.subject, person: permit.person };
  }
  if (permit.kind === 'valid' && permit.scope === scope) {
    sendPage(
      response,
      403,
      <Sorry
        assets={assets}
        heading="This link was sent to somebody who is no longer in this household."
        sentences={['Nothing was changed. The same can be entered from the months ahead.']}
      />,
    );
    return null;
  }
  if (permit.kind === 'expired' && permit.scope === scope) {
    sendPage(
      response,
      410,
      <Sorry
        assets={assets}
        heading="This link is too old."
        sentences={[
          'Nothing was changed. The months ahead show how things stand now, and the same can be entered there.',
        ]}
      />,
    );
    return null;
  }
  sendPage(
    response,
    403,
    <Sorry
      assets={assets}
      heading="This link does not open anything."
      sentences={[
        'It was not made by this service, or it was changed or cut short on its way. Nothing was changed.',
        'Open it again from the message itself, or start at the months ahead.',
      ]}
    />,
  );
  return null;
}
