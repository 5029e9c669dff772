import type { RequestHandler } from 'express';
import { dayOf, timeOfDayAt } from '../domain/day.js';
import type { Letter, LetterBlock } from '../domain/results/letter.js';
import { allLetters } from '../ledger/outbox.js';
import { sayDate, sayDayShort } from '../words/dates.js';
import { sayDaysIn } from '../words/days-in.js';
import { unbroken } from '../words/unbroken.js';
import type { Assets } from './assets.js';
import { CalendarAddress } from './calendar-address.js';
import { MailEnds } from './end-mail.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { Page, sendPage } from './layout.js';
import { CautionBox } from './sheet-lines.js';

/** Messages listed; older ones are in the books but off the page. */
const mostLetters = 60;
/** Of these shown at once; the others unfold. */
const newestLetters = 12;

type Written = ReturnType<typeof allLetters>[number];

/** What was said, to whom, when and how it went; what waits, and why. */
export function noticesPage(given: Given, assets: Assets): RequestHandler {
  return (_request, response) => {
    const home = given.books.home();
    const { household } = home;
    const outlook = given.latest();
    const letters = [...allLetters(given.books)].reverse();
    const person = (id: string) => household.people.find((one) => one.id === id)?.name ?? id;
    const when = (atMs: number) =>
      `${sayDayShort(dayOf(atMs, household.zone), outlook.today, household.locale)}, ${timeOfDayAt(atMs, household.zone)}`;
    const waiting = given.waiting?.() ?? [];
    sendPage(
      response,
      200,
      <Page title="Notices" assets={assets}>
        <h1>{letters.length === 0 ? 'Nothing has been sent yet.' : 'What was said, and to whom.'}</h1>
        <p class="second">
          {household.smtp === undefined
            ? 'No mail server is set up, so messages are kept here and as files in the folder data/outbox.'
            : 'Messages go out by mail; those that did not arrive say why.'}
        </p>
        {waiting.length === 0 ? null : (
          <section>
            <h2>What waits, and why</h2>
            <ul class="tasks">
              {waiting.map((one) => (
                <li>
                  <strong>
                    {home.machines.find((machine) => machine.id === one.machine)?.name ?? one.machine}:{' '}
                    {sayKind(one.kind)}
                  </strong>
                  <span>{one.day === outlook.today ? 'today' : sayDate(one.day, outlook.today, household.locale)}</span>
                  <span class="small">{sayDaysIn(one.why, outlook.today, household.locale)}</span>
                </li>
              ))}
            </ul>
          </section>
        )}
        {letters.length === 0 ? null : (
          <section>
            <h2>Sent</h2>
            <Sent letters={letters.slice(0, newestLetters)} person={person} when={when} />
            {letters.length <= newestLetters ? null : (
              <details>
                <summary>Earlier messages</summary>
                <Sent letters={letters.slice(newestLetters, mostLetters)} person={person} when={when} />
              </details>
            )}
            {letters.length <= mostLetters ? null : (
              <p class="small">The newest {mostLetters} are listed; older ones are left out here.</p>
            )}
          </section>
        )}
        <MailEnds given={given} />
        <p class="acts">
          <a class="act" href="/devices#messages">
            Messages on this device
          </a>
        </p>
        <CalendarAddress given={given} />
      </Page>,
    );
  };
}

interface SentProps {
  readonly letters: readonly Written[];
  readonly person: (id: string) => string;
  readonly when: (atMs: number) => string;
}

function Sent({ letters, person, when }: SentProps) {
  return (
    <ul class="tasks">
      {letters.map((letter) => (
        <li>
          <a class="way" href={`/notices/${letter.id}`}>
            {letter.letter.subject}
          </a>
          <span class="small">
            To {person(letter.to)}, {when(letter.writtenAtMs)}. {sayHow(letter)}
          </span>
        </li>
      ))}
    </ul>
  );
}

/** One message as it was written. */
export function letterPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const written = allLetters(given.books).find((letter) => letter.id === request.params.id);
    if (written === undefined) {
      throw pageFault({
        code: 'letter-unknown',
        message: 'No such message was written',
        remedy: 'Look at the list of notices.',
      });
    }
    sendPage(response, 200, <LetterView written={written} assets={assets} />);
  };
}

function LetterView({ written, assets }: { readonly written: Written; readonly assets: Assets }) {
  const letter: Letter = written.letter;
  return (
    <Page title={letter.subject} up={{ href: '/notices', text: 'Notices' }} assets={assets}>
      <article class="letter">
        <h1>{unbroken(letter.subject)}</h1>
        <p class="second">{unbroken(letter.lead)}</p>
        {letter.blocks.map((block) => (
          <Block block={block} />
        ))}
        <p class="small">{sayHow(written)}</p>
      </article>
    </Page>
  );
}

function Block({ block }: { readonly block: LetterBlock }) {
  switch (block.kind) {
    case 'heading':
      return <h2>{unbroken(block.text)}</h2>;
    case 'text':
      return <p>{unbroken(block.text)}</p>;
    case 'list':
      return (
        <ul class="plain">
          {block.items.map((item) => (
            <li>{unbroken(item)}</li>
          ))}
        </ul>
      );
    case 'numbered':
      return (
        <ol>
          {block.items.map((item) => (
            <li>{unbroken(item)}</li>
          ))}
        </ol>
      );
    case 'typed':
      return <pre class="typed">{block.text}</pre>;
    case 'caution':
      return <CautionBox caution={block.caution} />;
    case 'link':
      return (
        <p class="acts">
          <a class={block.main ? 'act main' : 'act'} href={hereIfOwn(block.url)}>
            {block.label}
          </a>
        </p>
      );
  }
}

/** A link of ours without its host: the page may be read under another name than the one in the message.
 *  Anything but http leads nowhere. */
function hereIfOwn(url: string): string {
  if (!URL.canParse(url)) return '#';
  const { protocol, pathname, search } = new URL(url);
  return protocol === 'http:' || protocol === 'https:' ? `${pathname}${search}` : '#';
}

const wayWords = { mail: '', file: ' as a file', push: ' to devices', topic: ' on the broker' } as const;

function sayHow(letter: Written): string {
  const word = letter.lastWord === null || letter.lastWord === '' ? '' : `: ${letter.lastWord}`;
  switch (letter.state) {
    case 'delivered':
      return `It went out${wayWords[letter.channel]}.`;
    case 'pending':
      return letter.attempts === 0 ? 'It is on its way.' : `It did not go out yet${word}. It is tried again.`;
    case 'sending':
      return 'It is being sent.';
    case 'refused':
      return `It was refused for good${word}.`;
    case 'withdrawn':
      return `It was not sent${word}.`;
    case 'unknown':
      return `Nobody knows whether it arrived${word}.`;
  }
}

function sayKind(kind: string): string {
  const words: Readonly<Record<string, string>> = {
    parts: 'what to buy',
    work: 'time to do it',
    late: 'still to do',
    reading: 'a question about the hours',
    season: 'the season',
    trouble: 'the service itself',
  };
  return words[kind] ?? kind;
}
