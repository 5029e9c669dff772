import type { RequestHandler } from 'express';
import { helpQuestions } from '../domain/did-it-help.js';
import { helpedAnswers, type Noticed } from '../domain/facts.js';
import { helpedSaid, sayHelped, voidHelped } from '../ledger/say-helped.js';
import { sayHelpedAnswer, sayHelpQuestion } from '../words/helped.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { newFormKey, readForm } from './guard/form.js';
import { KeyField } from './pieces.js';
import { type Shown, showMachine } from './shown.js';

const buttonOf = { yes: 'Yes', no: 'No', 'cannot-tell': 'Cannot tell yet' } as const;

/** Asks, of each thing that was seen to, whether it helped; once. */
export function HelpQuestions({ given, shown }: { readonly given: Given; readonly shown: Shown }) {
  const { machine, facts, outlook, household } = shown;
  return (
    <>
      {helpQuestions(facts, given.books.clock.nowMs()).map((question) => (
        <div class="said">
          <p>{sayHelpQuestion(question, outlook.today, household.zone, household.locale)}</p>
          <HelpedButtons machine={machine.id} noticed={question.noticed} />
        </div>
      ))}
    </>
  );
}

/** The three answers as buttons. */
export function HelpedButtons({ machine, noticed }: { readonly machine: string; readonly noticed: Noticed }) {
  return (
    <form method="post" action={`/machines/${machine}/noticed/${noticed.id}/helped`}>
      <KeyField value={newFormKey()} />
      <p class="acts">
        {helpedAnswers.map((answer) => (
          <button class="act" type="submit" name="helped" value={answer}>
            {buttonOf[answer]}
          </button>
        ))}
      </p>
    </form>
  );
}

/** Takes the answer; a "no" puts it on the next bench sheet again. */
export function takeHelped(given: Given): RequestHandler<{ id: string; noticed: string }> {
  return (request, response) => {
    const { machine, facts } = showMachine(given, request.params.id);
    const text = readForm(request).text('helped');
    const answer = helpedAnswers.find((one) => one === text);
    // Taken back before, perhaps by the same tap: the machine's page shows how it stands.
    if (!facts.noticed.some((one) => one.id === request.params.noticed)) {
      return response.redirect(303, `/machines/${machine.id}#noticed`);
    }
    if (answer === undefined) {
      throw pageFault({
        code: 'answer-missing',
        message: 'Nothing was said about whether it helped',
        remedy: 'Go back and press one of the buttons.',
      });
    }
    const outcome = sayHelped(given.books, request.params.noticed, answer, null);
    if (outcome.kind === 'refused') throw outcome.fault;
    if (outcome.kind === 'said') given.changed();
    response.redirect(303, `/machines/${machine.id}?entry=${outcome.id}`);
  };
}

/** Takes the answer back; twice is once. */
export function undoHelped(given: Given): RequestHandler<{ id: string; helped: string }> {
  return (request, response) => {
    readForm(request);
    const { machine } = showMachine(given, request.params.id);
    const outcome = voidHelped(given.books, request.params.helped, null, machine.id);
    if (outcome.kind === 'refused') throw outcome.fault;
    if (outcome.kind === 'voided') given.changed();
    response.redirect(303, `/machines/${machine.id}?entry=${request.params.helped}`);
  };
}

const whatFollows = {
  yes: 'It is closed.',
  no: 'It comes on the next bench sheet again.',
  'cannot-tell': 'You are not asked again: say so under “What was noticed” once you know.',
} as const;

/** What was just said or taken back, told by the books; nothing where the id is of nothing said of this machine. */
export function HelpedNotice({
  given,
  shown,
  id,
}: {
  readonly given: Given;
  readonly shown: Shown;
  readonly id: string;
}) {
  const said = helpedSaid(given.books, id, shown.machine.id);
  if (said === null) return null;
  return (
    <div class="said" role="status">
      <p>
        <strong>{said.isTakenBack ? 'Taken back:' : 'Written down:'}</strong> “{said.text}”.{' '}
        {sayHelpedAnswer(said.answer)} {said.isTakenBack ? '' : whatFollows[said.answer]}
      </p>
      {said.isTakenBack ? null : <TakeBackHelped machine={shown.machine.id} id={id} />}
    </div>
  );
}

/** The button that takes back what was said of a noticed thing; goes through once for each showing. */
export function TakeBackHelped({ machine, id }: { readonly machine: string; readonly id: string }) {
  return (
    <form class="undo" method="post" action={`/machines/${machine}/helped/${id}/undo`}>
      <KeyField value={newFormKey()} />
      <button class="act" type="submit">
        Take back what was said
      </button>
    </form>
  );
}
