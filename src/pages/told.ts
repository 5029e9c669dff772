import type { RequestHandler } from 'express';
import { enterNotUsed } from '../ledger/enter-not-used.js';
import { answerNoticed, enterNoticed, reopenNoticed, voidNoticed } from '../ledger/enter-noticed.js';
import { confirmAside, correctAside, dropAside } from '../ledger/enter-reading.js';
import type { Refused } from '../ledger/errors.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { type Form, readForm } from './guard/form.js';
import { type Shown, showMachine } from './shown.js';

type MachineHandler = RequestHandler<{ id: string }>;

/** "I noticed something": it comes on the next bench sheet. */
export function takeNoticed(given: Given): MachineHandler {
  return (request, response) => {
    const { machine } = showMachine(given, request.params.id);
    const form = readForm(request);
    const text = form.text('text');
    const { noticed } = orThrow(enterNoticed(given.books, { machine: machine.id, text, by: null, key: form.key }));
    given.changed();
    response.redirect(303, `/machines/${machine.id}?entry=${noticed.id}`);
  };
}

/** What becomes of something noticed: seen to, open again, or taken back. */
export function settleNoticed(given: Given): RequestHandler<{ id: string; noticed: string }> {
  return (request, response) => {
    const { machine, facts } = showMachine(given, request.params.id);
    const answer = readForm(request).text('answer');
    const page = `/machines/${machine.id}#noticed`;
    const id = request.params.noticed;
    // Taken back before, perhaps by the same tap: the machine's page shows how it stands.
    if (!facts.noticed.some((one) => one.id === id)) return response.redirect(303, page);
    if (answer === 'take-back') orThrow(voidNoticed(given.books, id, null));
    else if (answer === 'open') orThrow(reopenNoticed(given.books, id));
    else orThrow(answerNoticed(given.books, id, null));
    given.changed();
    response.redirect(303, page);
  };
}

/** "Not used since": nothing ran from that day until now. */
export function takeNotUsed(given: Given): MachineHandler {
  return (request, response) => {
    const { machine } = showMachine(given, request.params.id);
    const form = readForm(request);
    const since = form.day('since');
    if (since === null) {
      throw pageFault({
        code: 'day-missing',
        message: 'The day is missing',
        remedy: 'Go back and choose the day since which it has not been used.',
      });
    }
    const told = orThrow(enterNotUsed(given.books, { machine: machine.id, since, by: null, door: 'page' }));
    given.changed();
    response.redirect(303, `/machines/${machine.id}${told.kind === 'entered' ? `?entry=${told.id}` : ''}`);
  };
}

/** What becomes of a reading that was kept aside, from the machine's own pages. */
export function settleAside(given: Given): RequestHandler<{ id: string; aside: string }> {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    const form = readForm(request);
    const readingForm = `/machines/${shown.machine.id}/reading`;
    response.redirect(303, answerAside(given, form, shown, { aside: request.params.aside, by: null, readingForm }));
  };
}

/** Settles a reading that was kept aside as the form answers.
 *  @param readingForm  the page to go back to for another try
 *  @returns the page to lead to
 *  @throws Fault where what is known meanwhile forbids it */
export function answerAside(
  given: Given,
  form: Form,
  shown: Shown,
  { aside: id, by, readingForm }: { readonly aside: string; readonly by: string | null; readonly readingForm: string },
): string {
  const aside = shown.facts.aside.find((one) => one.id === id);
  const answer = form.text('answer');
  const page = `/machines/${shown.machine.id}`;
  // Settled before, perhaps by the same tap: the machine's page shows how it stands.
  if (aside === undefined) return answer === 'drop' ? readingForm : page;
  if (answer !== 'right' && answer !== 'meant') {
    orThrow(dropAside(given.books, aside.id, by));
    given.changed();
    return answer === 'drop' ? readingForm : page;
  }
  const entry = orThrow((answer === 'right' ? confirmAside : correctAside)(given.books, aside.id, by));
  given.changed();
  return entry.kind === 'aside' ? readingForm : `${page}?entry=${entry.reading.id}`;
}

/** A refusal becomes the page that says it in plain words. */
function orThrow<T extends { readonly kind: string }>(outcome: T | Refused): T {
  if (isRefused(outcome)) throw outcome.fault;
  return outcome;
}

function isRefused(outcome: { readonly kind: string }): outcome is Refused {
  return outcome.kind === 'refused';
}
