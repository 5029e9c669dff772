import type { RequestHandler } from 'express';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { readForm } from './guard/form.js';
import { leadOn } from './guard/sign-in.js';
import { openPermit } from './open-permit.js';
import { enterFromForm, sendReadingForm } from './reading.js';
import { showMachine } from './shown.js';
import { answerAside } from './told.js';

type TokenHandler = RequestHandler<{ token: string }>;

/** The reading form of one machine, behind a signed link. */
export function readingLink(given: Given, assets: Assets): TokenHandler {
  return (request, response) => {
    const permit = openPermit(given, assets, response, request.params.token, 'reading');
    if (permit === null) return;
    const entering = { action: `/r/${permit.token}`, by: permit.person, door: 'link' } as const;
    sendReadingForm(given, assets, response, showMachine(given, permit.subject), entering);
  };
}

/** Takes the reading that came by a link of a letter, or the answer to the question about it, in the name of the person whom the link was
 *  sent to. */
export function takeReadingLink(given: Given, assets: Assets): TokenHandler {
  return (request, response) => {
    const permit = openPermit(given, assets, response, request.params.token, 'reading');
    if (permit === null) return;
    const action = `/r/${permit.token}`;
    const shown = showMachine(given, permit.subject);
    const form = readForm(request);
    const aside = form.optional('aside');
    if (aside !== null) {
      const answered = answerAside(given, form, shown, { aside, by: permit.person, readingForm: action });
      return leadOn(given, request, response, answered);
    }
    enterFromForm(given, assets, request, response, shown, { action, by: permit.person, door: 'link' });
  };
}
