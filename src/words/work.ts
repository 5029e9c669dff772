import { type Caution, signalWords } from '../domain/cautions.js';
import { type Day, daysBetween } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { LetterBlock } from '../domain/results/letter.js';
import type { Notice } from '../domain/results/notice.js';
import { nobodyKnows, type Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import { sayStretch } from './cause.js';
import { joinAnd, sayNumber } from './counts.js';
import { sayDay, sayDayShort, sayMinutes, sayWhen } from './dates.js';
import { dueOf, type LetterContext, type NoticeWords, outlookOf } from './letter-context.js';
import { sayMachine } from './machine.js';
import { isOutOfUse, sayFoundOut, sayOpenFinding } from './open-finding.js';
import { ledByOverdue } from './overdue.js';
import { sayReach } from './reach.js';
import { oneLine, shortened, small } from './sentence.js';
import { sayJobMinutes } from './sheet.js';
import { notBeforeFinding, sayItem, sayNamesOf, sayPerhaps, sayToBuy } from './shopping.js';
import { sayHowSure, sayIfLess } from './sureness.js';
import { sayTask } from './task.js';
import { isForSeveralDays, isLookFirst, sayJobs, sayVisit, sayVisitTitle } from './visit.js';

/** So many cautions stand in a letter; all of them stand on the bench sheet. Common practice, no source. */
const mostCautions = 4;
/** Characters of a job in a subject line, so that machine and day stay in view in a list. Common practice, no source. */
const mostOfTitle = 40;

/** Said where something takes longer to get than there are days left. */
const tooLateToBuy =
  'Ordered only now, not all of it can be here on the day, unless a shop nearby has it; where you say “done”, you can also move the visit to a later day.';

/** A `work` or `late` notice in words: the sentence; why and how sure, and what to do when the meter shows less, before anybody
 *  lifts a tool; the tasks in working order with their minutes; what is still to buy, what to have ready, tools; the worst cautions; the links.
 *  @param notice  of kind work, late, or season with a visit
 *  @param planned  with the day that the notice names
 *  Source: signal words as ANSI Z535.4-2007; the rest common practice, no source. */
export function sayWork(notice: Notice, planned: Visit, machine: Machine, context: LetterContext): NoticeWords {
  const { outlook, home, sheets, links } = context;
  const { today } = outlook;
  const { locale } = home.household;
  const isLate = notice.kind === 'late';
  const visit = isLate ? ledByOverdue(planned, machine, context) : planned;
  const sheet = sheets.get(visit.id) ?? null;
  const title = sayTitleForSubject(visit, machine);
  const dealer = visit.by === 'dealer' ? 'book the dealer, ' : '';
  const from = isForSeveralDays(visit) ? 'from ' : '';
  const day = visit.day < today ? '' : `, ${from}${sayDayShort(visit.day, today, locale)}`;
  const blocks: LetterBlock[] = [
    ...sayToMend(machine, context, visit.tasks),
    ...paragraph(sayBuyFirst(visit, sheet, machine)),
    ...paragraph(sayForward(visit, today, locale)),
    ...sayHowSure(visit, machine, context).flatMap(paragraph),
    ...paragraph(sayIfLess(visit, machine, context)),
    ...sayTasks(visit, sheet, machine, context),
    ...sayNoticed(sheet),
    ...(visit.by === 'dealer' ? [] : sayThings(visit, sheet, context)),
    ...sayCautions(sheet?.cautions ?? []),
    { kind: 'link', label: sayDoneLabel(visit), url: links.visit(visit.id, notice.to), main: true },
  ];
  if (visit.by === 'owner') {
    blocks.push({ kind: 'link', label: 'The bench sheet, step by step', url: links.sheet(visit.id), main: true });
  }
  blocks.push({
    kind: 'link',
    label: sayReadingLabel(machine),
    url: links.reading(machine.id, notice.to),
    main: false,
  });
  return {
    subject: `${oneLine(machine.name)}: ${isLate ? `${visit.announced ? 'still to do' : 'overdue'}, ` : ''}${dealer}${title}${day}${visit.by === 'dealer' ? '' : `, ${sayMinutes(visit.minutes)}`}`,
    lead: isLate ? sayLate(visit, machine, context) : sayVisit(visit, machine, today, locale),
    blocks,
    isWork: true,
  };
}

/** What was found outside its limits on the machine and waits to be mended, a paragraph each: what takes it out of use always,
 *  the rest where the letter's own list of jobs does not say it.
 *  @param listed  jobs that the letter lists; each says there that it was found outside its limits
 *  Source: common practice, no source. */
export function sayToMend(
  machine: Machine,
  context: LetterContext,
  listed: readonly string[] = [],
): readonly LetterBlock[] {
  const { outlook, home } = context;
  return (outlookOf(machine, context)?.toMend ?? [])
    .filter((finding) => isOutOfUse(finding, machine) || !listed.includes(finding.task))
    .flatMap((finding) => paragraph(sayOpenFinding(finding, machine, outlook.today, home.household.locale)));
}

/** What a link for entering hours says: for a meter, or for a machine that has none.
 *  Source: common practice, no source. */
export function sayReadingLabel(machine: Machine): string {
  return machine.meter.kind === 'none' ? 'Say how long it ran' : 'Enter what the meter shows';
}

/** A text as one block, or no block where the text is empty.
 *  Source: common practice, no source. */
export function paragraph(text: string): readonly LetterBlock[] {
  return text === '' ? [] : [{ kind: 'text', text }];
}

/** A heading with a list below it, or nothing where the list is empty.
 *  Source: common practice, no source. */
export function headedList(heading: string, items: readonly string[]): readonly LetterBlock[] {
  return items.length === 0
    ? []
    : [
        { kind: 'heading', text: heading },
        { kind: 'list', items },
      ];
}

/** `change engine oil and filter +2`: short, and still saying how many. */
function sayTitleForSubject(visit: Visit, machine: Machine): string {
  if (visit.kind === 'getting-to-know' && visit.by === 'owner') return small(sayVisitTitle(visit, machine));
  const more = visit.tasks.length > 1 ? ` +${visit.tasks.length - 1}` : '';
  return `${shortened(small(sayTask(visit.leadTask, machine)), mostOfTitle)}${more}`;
}

function sayLate(visit: Visit, machine: Machine, context: LetterContext): string {
  const { today } = context.outlook;
  const { locale } = context.home.household;
  const reach = sayReach(visit.due, today, locale, 'which');
  const day = visit.day < today ? 'at the next chance' : sayWhen(visit.day, today, locale);
  const others = visit.tasks.length - 1;
  const doIt =
    visit.by === 'dealer'
      ? `so book the dealer as soon as you can${others > 0 ? `, for ${sayNumber(others)} more too` : ''}`
      : `so do it${others > 0 ? `, and ${sayNumber(others)} more,` : ''} ${day}`;
  const first = visit.announced ? 'Still to do' : 'Overdue';
  return `${first} on ${sayMachine(machine)}: ${small(sayTask(visit.leadTask, machine))}, ${reach}; ${doIt}.`;
}

function sayDoneLabel(visit: Visit): string {
  return visit.by === 'dealer' ? 'Done by the dealer? Say so here' : 'Done? Say so here';
}

function sayTasks(visit: Visit, sheet: Sheet | null, machine: Machine, context: LetterContext): readonly LetterBlock[] {
  const headings = new Map<string, string>();
  // What the first sentence says of all of them is not said again behind each.
  const saidByLead = visit.kind === 'getting-to-know' ? nobodyKnows : null;
  for (const line of sheet?.lines ?? []) {
    if (line.kind !== 'task' || headings.has(line.task)) continue;
    const why = line.why === null || line.why === saidByLead ? '' : `: ${small(oneLine(line.why))}`;
    const own = sayWhyListed(line.task, visit, machine, context);
    headings.set(
      line.task,
      `${oneLine(line.title)}${minutesBehind(line.minutes, line.minutesIfOut)}${own === '' ? why : own}`,
    );
  }
  for (const task of visit.tasks) {
    if (headings.has(task)) continue;
    const known = machine.tasks.find((one) => one.id === task);
    const time = known === undefined ? '' : minutesBehind(known.minutes);
    headings.set(task, `${sayTask(task, machine)}${time}${sayWhyListed(task, visit, machine, context)}`);
  }
  const heading =
    visit.by === 'dealer' ? 'For the dealer' : `In working order, about ${sayMinutes(visit.minutes)} in all`;
  return [
    { kind: 'heading', text: heading },
    { kind: visit.by === 'dealer' ? 'list' : 'numbered', items: [...headings.values()] },
  ];
}

/** Behind a task: that it was found outside its limits, or that it is done early; else empty. */
function sayWhyListed(task: string, visit: Visit, machine: Machine, context: LetterContext): string {
  const found = outlookOf(machine, context)?.toMend.find((one) => one.task === task);
  if (found === undefined) return sayWhyEarly(task, visit, machine, context);
  return `: ${sayFoundOut(found, context.outlook.today, context.home.household.locale)}`;
}

/** Behind a task that is done early for the sake of the others; else empty. */
function sayWhyEarly(task: string, visit: Visit, machine: Machine, context: LetterContext): string {
  if (!visit.pulledForward.includes(task)) return '';
  const due = dueOf(machine, task, context)?.day?.p50;
  const days = due === undefined ? 0 : daysBetween(visit.day, due);
  return `: ${days < 7 ? '' : `${sayStretch(days)} `}early on purpose, to share the visit`;
}

function minutesBehind(minutes: number, minutesIfOut: number | null = null): string {
  return minutes < 1 ? '' : `, ${sayJobMinutes({ minutes, minutesIfOut })}`;
}

function sayNoticed(sheet: Sheet | null): readonly LetterBlock[] {
  return headedList('You noticed', (sheet?.noticed ?? []).map(oneLine));
}

/** What has to be bought before the work can begin, and what to leave out without it, as one sentence; empty where nothing is missing.
 *  Source: common practice, no source. */
function sayBuyFirst(visit: Visit, sheet: Sheet | null, machine: Machine): string {
  if (visit.by === 'dealer' || isLookFirst(visit)) return '';
  const missing = (sheet?.shopping ?? visit.shopping).filter((item) => item.toBuy > 0);
  const waiting = visit.tasks.filter((task) => missing.some((item) => item.tasks.includes(task)));
  if (waiting.length === 0) return '';
  const without = waiting.length === 1 ? 'leave this out' : 'leave these out';
  const them = missing.length === 1 ? 'it' : 'them';
  // Nobody says of each bag that it came: what was bought must not be called missing.
  return `Unless you have ${them} by now, buy ${sayNamesOf(missing)} first, or ${without}: ${small(sayJobs(waiting, machine))}.`;
}

/** That the work has come forward since buying was spoken of, so that what was ordered in time for the day named then may be on its way;
 *  empty where it has not. */
function sayForward({ by, day, forwardFrom }: Visit, today: Day, locale: string): string {
  if (by === 'dealer' || forwardFrom === undefined || forwardFrom <= day) return '';
  return `The last word on what to buy named ${sayDay(forwardFrom, today, locale)}: the work has come forward since, so what was ordered for then may still be on its way.`;
}

function sayThings(visit: Visit, sheet: Sheet | null, context: LetterContext): readonly LetterBlock[] {
  const { units } = context.home.household;
  const shopping = sheet?.shopping ?? visit.shopping;
  // A first look comes before any shopping: what it may need is named once something was looked at.
  const missing = isLookFirst(visit) ? [] : shopping.filter((item) => item.toBuy > 0);
  const ready = shopping.filter((item) => item.toBuy <= 0);
  const daysLeft = daysBetween(context.outlook.today, visit.day);
  const isLateToBuy = missing.some((item) => item.leadDays > daysLeft);
  const tools = (sheet?.tools ?? []).map(oneLine);
  return [
    ...headedList(
      'Still to buy',
      missing.map((item) => sayToBuy(item, units)),
    ),
    ...paragraph(isLateToBuy ? tooLateToBuy : ''),
    ...headedList(
      'At home, to have ready',
      ready.map((item) => sayItem(item, units)),
    ),
    ...sayPerhapsList(visit, units),
    ...(tools.length === 0 ? [] : [{ kind: 'heading', text: 'Tools' } as const, ...paragraph(`${joinAnd(tools)}.`)]),
  ];
}

/** What only a bad finding would need, said apart from what is to buy; empty where nothing is.
 *  Source: common practice, no source. */
export function sayPerhapsList({ perhaps = [] }: Visit, units: Household['units']): readonly LetterBlock[] {
  if (perhaps.length === 0) return [];
  return [
    ...headedList(
      'Perhaps',
      perhaps.map((item) => sayPerhaps(item, units)),
    ),
    ...paragraph(notBeforeFinding),
  ];
}

function sayCautions(cautions: readonly Caution[]): readonly LetterBlock[] {
  const once = cautions.filter((caution, at) => cautions.findIndex((other) => other.id === caution.id) === at);
  const sorted = once.toSorted((a, b) => signalWords.indexOf(a.signal) - signalWords.indexOf(b.signal));
  const shown = sorted.slice(0, mostCautions);
  if (shown.length === 0) return [];
  const rest =
    sorted.length > shown.length ? 'More cautions stand on the bench sheet, each directly above its step.' : '';
  return [
    { kind: 'heading', text: 'Take care' },
    ...shown.map((caution) => ({ kind: 'caution', caution }) as const),
    ...paragraph(rest),
  ];
}
