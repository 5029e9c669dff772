import { dayOf } from '../domain/day.js';
import type { AsideReading } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { LetterBlock } from '../domain/results/letter.js';
import type { Notice } from '../domain/results/notice.js';
import { sayAgo } from './dates.js';
import { sayHours, sayHoursNow, sayReadHours } from './hours.js';
import { daysSaid, type LetterContext, type NoticeWords, outlookOf } from './letter-context.js';
import { sayMachine } from './machine.js';
import { ended, oneLine } from './sentence.js';
import { paragraph, sayReadingLabel, sayToMend } from './work.js';

/** A `reading` notice in words: which meter to read, what it last showed and should show now, why the answer helps, and the
 *  link. A machine without a meter is asked how long it ran.
 *  Source: common practice, no source. */
export function sayAsking(notice: Notice, machine: Machine, context: LetterContext): NoticeWords {
  const hasMeter = machine.meter.kind === 'meter';
  const blocks: LetterBlock[] = [
    ...sayToMend(machine, context),
    ...paragraph(ended(daysSaid(notice.because, context))),
    ...(outlookOf(machine, context)?.aside ?? []).flatMap((aside) => paragraph(sayAside(aside, context))),
    { kind: 'link', label: sayReadingLabel(machine), url: context.links.reading(machine.id, notice.to), main: true },
    ...paragraph(
      hasMeter
        ? 'One number is enough, with the tenths where the meter shows them. If it has not run at all, the same page takes that answer.'
        : 'A rough number of minutes or tanks is enough. If it has not run at all, the same page takes that answer.',
    ),
  ];
  return {
    subject: `${oneLine(machine.name)}: ${hasMeter ? 'what does the hour meter show?' : 'how long did it run?'}`,
    lead: hasMeter ? sayReadIt(machine, context) : sayTellIt(machine, context),
    blocks,
    isWork: false,
  };
}

/** A reading that is kept aside, as a question: its own words, and what was probably meant.
 *  Source: common practice, no source. */
function sayAside(aside: AsideReading, context: LetterContext): string {
  const meant = aside.suggestionHours === null ? '' : ` Was ${sayReadHours(aside.suggestionHours)} meant?`;
  return `${ended(daysSaid(aside.question, context))}${meant} Until you confirm it, it does not count.`;
}

function sayReadIt(machine: Machine, context: LetterContext): string {
  const please = `Read the hour meter of ${sayMachine(machine)} when you pass it`;
  const outlook = outlookOf(machine, context);
  const last = outlook?.lastReading ?? null;
  const now = outlook?.hoursNow ?? null;
  if (now === null) return `${please}: without one reading nobody can say when its next service comes due.`;
  const should = `by now it should stand at ${sayHoursNow(now)}`;
  if (last === null) return `${please}: ${should}.`;
  const ago = sayAgo(dayOf(last.atMs, context.home.household.zone), context.outlook.today);
  return `${please}: ${ago} it showed ${last.about ? `about ${sayHours(last.hours)}` : sayReadHours(last.hours)}, and ${should}.`;
}

function sayTellIt(machine: Machine, context: LetterContext): string {
  const now = outlookOf(machine, context)?.hoursNow ?? null;
  const please = `Say roughly how long ${sayMachine(machine)} has run since you last told`;
  return now === null
    ? `${please}: without that nobody can say when its next service comes due.`
    : `${please}: it is reckoned to have ${sayHoursNow(now)} behind it.`;
}
