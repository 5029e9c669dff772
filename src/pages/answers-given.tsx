import type { RequestHandler } from 'express';
import { dayOf } from '../domain/day.js';
import type { GivenAnswer } from '../domain/facts.js';
import { answersGiven, givenAnswer } from '../ledger/told.js';
import { voidAnswer } from '../ledger/void-answer.js';
import { sayDate } from '../words/dates.js';
import { ended } from '../words/sentence.js';
import { sayTask } from '../words/task.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { newFormKey, readForm } from './guard/form.js';
import { Page, sendPage } from './layout.js';
import { KeyField } from './pieces.js';
import { type Shown, showMachine } from './shown.js';

/** Answers shown before the rest is folded away. */
const firstAnswers = 3;

type AnswerHandler = RequestHandler<{ id: string }>;

/** What was answered about a machine's visits, newest first; each can be taken back and stays in the list, struck out. */
export function AnswersSection({ given, shown }: { readonly given: Given; readonly shown: Shown }) {
  const answers = answersGiven(given.books, shown.machine.id);
  if (answers.length === 0) return null;
  return (
    <section>
      <h2>What was answered</h2>
      <AnswerList answers={answers.slice(0, firstAnswers)} shown={shown} />
      {answers.length <= firstAnswers ? null : (
        <details>
          <summary>Everything before that</summary>
          <AnswerList answers={answers.slice(firstAnswers)} shown={shown} />
        </details>
      )}
    </section>
  );
}

function AnswerList({ answers, shown }: { readonly answers: readonly GivenAnswer[]; readonly shown: Shown }) {
  return (
    <ul class="tasks">
      {answers.map((one) => (
        <li>
          {one.takenBackAtMs === null ? <span>{sayAnswer(one, shown)}</span> : <s>{sayAnswer(one, shown)}</s>}
          <AnswerEnd one={one} shown={shown} />
        </li>
      ))}
    </ul>
  );
}

/** When it was given, by whom, and how to take it back. */
function AnswerEnd({ one, shown }: { readonly one: GivenAnswer; readonly shown: Shown }) {
  const { household, outlook } = shown;
  const day = (atMs: number) => sayDate(dayOf(atMs, household.zone), outlook.today, household.locale);
  const by = household.people.find((person) => person.id === one.by)?.name;
  return (
    <>
      <span class="small">
        {by === undefined ? 'Answered' : `${by} answered`} {day(one.answer.atMs)}
        {one.takenBackAtMs === null ? '' : `; taken back ${day(one.takenBackAtMs)}`} ({one.id}).
      </span>
      {one.takenBackAtMs === null ? <TakeBackAnswer id={one.id} /> : null}
    </>
  );
}

function TakeBackAnswer({ id }: { readonly id: string }) {
  return (
    <details class="undo">
      <summary>Take it back</summary>
      <form method="post" action={`/answered/${id}/undo`}>
        <KeyField value={newFormKey()} />
        <p class="small">Things stand then as if it had not been answered.</p>
        <button class="act" type="submit">
          Take it back
        </button>
      </form>
    </details>
  );
}

function sayAnswer({ answer }: GivenAnswer, { machine, outlook, household }: Shown): string {
  const tasks = answer.tasks.map((task) => sayTask(task, machine)).join(', ');
  switch (answer.kind) {
    case 'ask-on':
      return `Ask again ${sayDate(answer.day, outlook.today, household.locale)}: ${ended(tasks)}`;
    case 'leave-out':
      return `Left out ${sayDate(answer.day, outlook.today, household.locale)}: ${ended(tasks)}`;
    case 'have-parts':
      return `The parts are at home: ${ended(tasks)}`;
    case 'own-visit':
      return `A visit of its own: ${ended(tasks)}`;
  }
}

/** What an answer does. */
const effects: Readonly<Record<GivenAnswer['answer']['kind'], string>> = {
  'ask-on': 'Nothing will be said about it before that day.',
  'leave-out': 'It is left out this time, and its interval starts anew.',
  'own-visit': 'It is mended in a visit without other work, and its parts are on the list to buy.',
  'have-parts': 'What it needs counts as being at home.',
};

/** The page after an answer, and after taking it back: what the books hold of it now. */
export function answeredPage(given: Given, assets: Assets): AnswerHandler {
  return (request, response) => {
    const one = answerNamed(given, request.params.id);
    const shown = showMachine(given, one.machine);
    const stands = one.takenBackAtMs === null;
    sendPage(
      response,
      200,
      <Page title={stands ? 'Written down' : 'Taken back'} assets={assets}>
        <h1>{stands ? 'That is written down.' : 'It is taken back.'}</h1>
        <p>{stands ? effects[one.answer.kind] : 'Things stand as if it had not been answered.'}</p>
        <p>{stands ? sayAnswer(one, shown) : <s>{sayAnswer(one, shown)}</s>}</p>
        <AnswerEnd one={one} shown={shown} />
        <p class="acts">
          <a class="act" href="/">
            Months ahead
          </a>
          <a class="act" href={`/machines/${shown.machine.id}`}>
            {shown.machine.name}
          </a>
        </p>
      </Page>,
    );
  };
}

/** Takes an answer back; twice is once. */
export function undoAnswer(given: Given): AnswerHandler {
  return (request, response) => {
    readForm(request);
    const { id } = answerNamed(given, request.params.id);
    const outcome = voidAnswer(given.books, id, null);
    if (outcome.kind === 'refused') throw outcome.fault;
    if (outcome.kind === 'voided') given.changed();
    response.redirect(303, `/answered/${id}`);
  };
}

function answerNamed(given: Given, id: string): GivenAnswer {
  const one = /^answer-\d{1,15}$/.test(id) ? givenAnswer(given.books, id) : null;
  if (one !== null) return one;
  throw pageFault({
    code: 'answer-unknown',
    message: 'There is no such answer',
    remedy: 'Look at the page of the machine.',
  });
}
