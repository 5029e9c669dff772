import { daysBetween } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { LetterBlock } from '../domain/results/letter.js';
import type { Notice } from '../domain/results/notice.js';
import type { ShoppingItem, Visit } from '../domain/results/visit.js';
import { sayBy, sayDay, sayDayShort } from './dates.js';
import type { LetterContext, NoticeWords } from './letter-context.js';
import { sayMachine } from './machine.js';
import { oneLine, shortened, small } from './sentence.js';
import { sayItem, sayNamesOf, sayToBuy } from './shopping.js';
import { sayHowSure, sayIfLess } from './sureness.js';
import { sayVisitTitle, sayWhyVisit } from './visit.js';
import { headedList, paragraph, sayPerhapsList, sayReadingLabel, sayToMend } from './work.js';

/** So many days before the likeliest day of the limit, the meter is worth a look before anything is bought. Common practice, no source. */
const doubtfulDays = 14;

/** Characters of a thing in a subject line. Common practice, no source. */
const mostOfThing = 30;

/** A `parts` notice in words: what to buy for which machine by when, and how sure its day is; then each thing with quantity,
 *  specification and the days it takes, what is at home already, and the link to say "have it".
 *  @param visit  with the day that the notice names; nothing missing any more gives a letter that says so
 *  Source: common practice, no source. */
export function sayBuying(notice: Notice, visit: Visit, machine: Machine, context: LetterContext): NoticeWords {
  const { today } = context.outlook;
  const { locale, units } = context.home.household;
  const missing = visit.shopping.filter(
    (item) => item.toBuy > 0 && item.tasks.some((task) => notice.tasks.includes(task)),
  );
  const by = visit.buyBy ?? today;
  const day = sayDay(visit.day, today, locale);
  const unnumbered = missing.some((item) => item.kind === 'part' && (item.specification ?? '') === '');
  // Said before the list: whoever buys first has bought.
  const ifLess = daysBetween(visit.day, visit.due.p50) < doubtfulDays ? '' : sayIfLess(visit, machine, context);
  const blocks: LetterBlock[] = [
    ...sayToMend(machine, context),
    ...paragraph(ifLess),
    ...headedList(
      'To buy',
      missing.map((item) => sayToBuy(item, units)),
    ),
    ...paragraph(
      unnumbered
        ? 'Where no number stands, take it from your machine’s manual or from the old part, and write it into the machine’s file: next time it stands here.'
        : '',
    ),
    ...headedList(
      'At home already',
      visit.shopping.filter((item) => item.toBuy <= 0).map((item) => sayItem(item, units)),
    ),
    ...sayPerhapsList(visit, units),
    ...paragraph(sayIfNotInTime(missing, visit, context)),
    { kind: 'heading', text: 'What it is for' },
    ...paragraph(`${sayVisitTitle(visit, machine)}, on ${day}.`),
    ...sayHowSure(visit, machine, context).flatMap(paragraph),
    { kind: 'link', label: 'All in hand? Say so here', url: context.links.visit(visit.id, notice.to), main: true },
  ];
  if (ifLess !== '') {
    blocks.push({
      kind: 'link',
      label: sayReadingLabel(machine),
      url: context.links.reading(machine.id, notice.to),
      main: false,
    });
  }
  if (visit.by === 'owner') {
    blocks.push({
      kind: 'link',
      label: 'The bench sheet, with every part',
      url: context.links.sheet(visit.id),
      main: false,
    });
  }
  const lead =
    missing.length === 0
      ? `Nothing is missing any more for ${sayMachine(machine)}: ${small(sayVisitTitle(visit, machine))}, on ${day}.`
      : `Buy ${sayNamesOf(missing)} for ${sayMachine(machine)} ${sayBy(by, today, locale)}: the work is planned for ${day}, and ${sayWhyVisit(visit, machine, today, locale, 'its jobs')}.`;
  const until = by <= today ? sayBy(by, today, locale) : `by ${sayDayShort(by, today, locale)}`;
  return {
    subject: `${oneLine(machine.name)}: buy ${sayBriefly(missing)} ${until}, for ${sayDayShort(visit.day, today, locale)}`,
    lead,
    blocks,
    isWork: false,
  };
}

/** What to do about things that take longer to get than there are days left; empty where nothing does. */
function sayIfNotInTime(missing: readonly ShoppingItem[], visit: Visit, context: LetterContext): string {
  const { today } = context.outlook;
  const daysLeft = daysBetween(today, visit.day);
  const slow = missing.filter((item) => Math.ceil(item.leadDays) > daysLeft);
  if (slow.length === 0) return '';
  const day = sayDay(visit.day, today, context.home.household.locale);
  return `If ${sayNamesOf(slow)} cannot be had by ${day}, say so at the link below: it moves the visit to a later day.`;
}

/** `engine oil filter +2`, for a subject: the first thing, and how many more. */
function sayBriefly(items: readonly ShoppingItem[]): string {
  const [first] = items;
  if (first === undefined) return 'nothing more';
  return `${shortened(oneLine(first.name), mostOfThing)}${items.length > 1 ? ` +${items.length - 1}` : ''}`;
}
