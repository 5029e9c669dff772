import type { RequestHandler } from 'express';
import { drawMonthsAhead } from '../charts/months-ahead.js';
import { addDays, addMonths, type Day, dayOf, daysBetween, earlierDay, laterDay, weekdayOf } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Climate } from '../domain/results/climate.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Visit } from '../domain/results/visit.js';
import { climateOf } from '../outlook/climate.js';
import { sayDate, sayDayShort, sayDaySpan, sayMinutes } from '../words/dates.js';
import { sayDaysIn } from '../words/days-in.js';
import { sayHeadline } from '../words/headline.js';
import { isForSeveralDays, isLookFirst, sayVisitTitle } from '../words/visit.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { Page, writePage } from './layout.js';
import { Drawing, Figures } from './pieces.js';
import { sayToMend } from './to-mend.js';

/** Months drawn at least and at most; what comes later is listed below the drawing. */
const leastMonths = 5;
const mostMonths = 11;

const howToRead =
  'Each machine has a column of its own. A bar shows when its job is likely to come due, a dot that it comes on that one day, the dash the day proposed.';

/** A day whose doubt spans more than this is said as "about". */
const vagueDays = 21;

/** Shows the home page: the months ahead with their visits. Drawn once for each outlook. */
export function monthsAheadPage(given: Given, assets: Assets): RequestHandler {
  // Drawn once an outlook: the page that is opened most holds nothing that differs from view to view.
  let drawn: { readonly outlook: Outlook; readonly problems: string; readonly html: string } | null = null;
  return (_request, response) => {
    const home = given.books.home();
    const outlook = given.latest();
    const problems = [...given.problems(), ...outlook.problems];
    const said = problems.join('\n');
    if (drawn === null || drawn.outlook !== outlook || drawn.problems !== said) {
      const toMend = sayToMend(home, given.facts(), outlook);
      const climate = climateOf(home.household, given.facts(), outlook.today);
      const shown = { home, outlook, climate, toMend, problems, assets };
      const page = <MonthsAhead {...shown} />;
      drawn = { outlook, problems: said, html: writePage(page) };
    }
    response.status(200).type('html').send(drawn.html);
  };
}

interface Props {
  readonly home: Home;
  readonly outlook: Outlook;
  readonly climate: Climate;
  /** What was found outside its limits and left so. */
  readonly toMend: readonly string[];
  readonly problems: readonly string[];
  readonly assets: Assets;
}

function MonthsAhead({ home, outlook, climate, toMend, problems, assets }: Props) {
  const headline = sayHeadline(outlook, home);
  const planned = outlook.visits.flatMap((visit) => {
    const machine = home.machines.find((one) => one.id === visit.machine);
    return machine === undefined ? [] : [{ visit, machine }];
  });
  const until = lastDayDrawn(outlook);
  const later = planned.filter(({ visit }) => visit.day > endOfMonth(until));
  const next = planned[0];
  const reads = next?.machine ?? home.machines.find((machine) => !machine.gone);
  const questions = outlook.machines.flatMap((ahead) =>
    ahead.aside.map((aside) => ({ aside, machine: home.machines.find((one) => one.id === ahead.machine) })),
  );
  return (
    <Page title={`Months ahead · ${home.household.name}`} assets={assets} isHome>
      <div class="beside">
        <div>
          <h1>{headline.first}</h1>
          <p class="second">
            <Figures text={headline.second} />
          </p>
          {toMend.map((sentence) => (
            <p class="said">{sentence}</p>
          ))}
          <p class="acts">
            {home.machines.length > 0 ? null : (
              <a class="act main" href="/set-up/new-machine">
                Add a machine
              </a>
            )}
            {reads === undefined ? null : (
              <a class="act main" href={`/machines/${reads.id}/reading`}>
                {reads.meter.kind === 'none' ? 'Enter a run' : 'Enter a reading'}
              </a>
            )}
            {next === undefined ? null : (
              <a class="act" href={`/visits/${next.visit.id}/sheet`}>
                Open the sheet
              </a>
            )}
          </p>
          {questions.map(({ aside, machine }) => (
            <p class="said">
              {machine?.name}: {sayDaysIn(aside.question, outlook.today, home.household.locale)}{' '}
              <a class="way" href={`/machines/${machine?.id}/reading`}>
                Answer
              </a>
            </p>
          ))}
          {problems.length === 0 ? null : (
            <div class="said">
              {problems.map((problem) => (
                <p>{problem}</p>
              ))}
            </div>
          )}
          <p class="small">
            {planned.length === 0 ? 'Nothing is planned yet.' : <span class="drawn">{howToRead}</span>}{' '}
            {sayLastReading(home, outlook)}
          </p>
        </div>
        <div>
          <div class="drawn">
            <Drawing svg={drawVisits({ home, outlook, climate }, planned, until)} />
          </div>
          <VisitList
            heading="What comes"
            planned={planned.filter(({ visit }) => visit.day <= endOfMonth(until))}
            say={(visit) => sayShortly(visit, outlook.today, home.household.locale)}
            isInstead
          />
          <VisitList
            heading="After that"
            planned={later}
            say={(visit) => `about ${sayDate(visit.day, outlook.today, home.household.locale)}`}
          />
        </div>
      </div>
    </Page>
  );
}

interface VisitListProps {
  readonly heading: string;
  readonly planned: readonly Planned[];
  readonly say: (visit: Visit) => string;
  /** Stands in for the drawing where letters are so large that those of a drawing, which do not grow, would be lost. */
  readonly isInstead?: boolean;
}

/** Visits as words alone. */
function VisitList({ heading, planned, say, isInstead = false }: VisitListProps) {
  if (planned.length === 0) return null;
  return (
    <section class={isInstead ? 'later instead' : 'later'}>
      <h2>{heading}</h2>
      <ul class="tasks">
        {planned.map(({ visit, machine }) => (
          <li>
            <a class="way" href={`/visits/${visit.id}/sheet`}>
              {machine.name}: {sayVisitTitle(visit, machine)}
            </a>
            <span class="small">{say(visit)}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

interface Planned {
  readonly visit: Visit;
  readonly machine: Machine;
}

function drawVisits(
  { home, outlook, climate }: Pick<Props, 'home' | 'outlook' | 'climate'>,
  planned: readonly Planned[],
  until: Day,
): string {
  const { today } = outlook;
  const { household } = home;
  const last = endOfMonth(until);
  const shown = planned.filter(({ visit }) => visit.day <= last);
  // A lane for each machine that has something coming, in the order of the home folder.
  const lanes = home.machines.filter((machine) => shown.some((one) => one.machine.id === machine.id));
  return drawMonthsAhead({
    today,
    until,
    lanes: lanes.length,
    visits: shown.map(({ visit, machine }) => ({
      day: visit.day,
      dueFrom: visit.due.p10,
      dueTo: visit.due.p90,
      lane: lanes.findIndex((one) => one.id === machine.id),
      who: machine.name,
      what: sayVisitTitle(visit, machine),
      when: sayShortly(visit, today, household.locale),
      href: `/visits/${visit.id}/sheet`,
    })),
    marks: findMarks(household, climate, today, last),
    workingDays: daysFrom(today, last).filter((day) => isWorkingDay(day, household)),
    title: 'Months ahead',
    description:
      shown
        .map(
          ({ visit, machine }) =>
            `${machine.name}: ${sayVisitTitle(visit, machine)}, ${sayDayShort(visit.day, today, household.locale)}${visit.kind === 'service' ? `, likely due ${sayDaySpan(visit.due.p10, visit.due.p90, today, household.locale)}` : ''}.`,
        )
        .join(' ') || 'Nothing is planned in these months.',
    id: 'ahead',
  });
}

function sayShortly(visit: Visit, today: Day, locale: string): string {
  const isVague = !visit.announced && daysBetween(visit.due.p10, visit.due.p90) > vagueDays;
  const day =
    isVague && visit.day > addDays(today, 28)
      ? `about ${sayDate(visit.day, today, locale)}`
      : sayDayShort(visit.day, today, locale);
  const toBuy = isLookFirst(visit) ? 0 : visit.shopping.filter((item) => item.toBuy > 0).length;
  const isLong = isForSeveralDays(visit);
  const parts = [`${isLong ? 'from ' : ''}${day}`, `${sayMinutes(visit.minutes)}${isLong ? ' in all' : ''}`];
  if (isLong) parts.push('over several days');
  if (visit.by === 'dealer') parts.push('at the dealer');
  if (toBuy > 0) parts.push(`to buy: ${toBuy}`);
  // A line may break between the parts, never within one.
  return parts.map((part) => part.replaceAll(' ', '\u00a0')).join(' · ');
}

function lastDayDrawn(outlook: Outlook): Day {
  const least = addMonths(outlook.today, leastMonths);
  const most = addMonths(outlook.today, mostMonths);
  const wanted = outlook.visits.reduce((last, visit) => (visit.day <= most ? laterDay(last, visit.day) : last), least);
  return earlierDay(wanted, most);
}

function endOfMonth(day: Day): Day {
  const next = addMonths(addDays(day, 1 - Number(day.slice(8, 10))), 1);
  return addDays(next, -1);
}

/** Frost by the household's word or its thermometer, as the forecast reckons with it; the almanac's day, which is of no place, is
 *  no mark. */
function findMarks(household: Household, { first, last }: Climate, from: Day, to: Day) {
  const frosts = [
    { frost: first, text: 'first frost, most years' },
    { frost: last, text: 'last frost, most years' },
  ]
    .filter(({ frost }) => frost.isNamed || frost.seasons > 0)
    .flatMap(({ frost, text }) =>
      daysFrom(from, to)
        .filter((day) => day.slice(5) === frost.monthDay)
        .map((day) => ({ day, text })),
    );
  const daysOff = household.daysOff
    .filter((off) => off.to >= from && off.from <= to)
    .map((off) => ({
      day: laterDay(off.from, from),
      text: `${off.why ?? 'away'}: no work ${off.from === off.to ? 'that day' : `until ${sayDate(off.to, from, household.locale)}`}`,
    }));
  return [...frosts, ...daysOff];
}

function isWorkingDay(day: Day, household: Household): boolean {
  return (
    household.workingDays.includes(weekdayOf(day)) && !household.daysOff.some((off) => day >= off.from && day <= off.to)
  );
}

function daysFrom(from: Day, to: Day): readonly Day[] {
  return Array.from({ length: Math.max(0, daysBetween(from, to) + 1) }, (_, index) => addDays(from, index));
}

function sayLastReading(home: Home, outlook: Outlook): string {
  const last = outlook.machines
    .flatMap((ahead) => (ahead.lastReading === null ? [] : [{ atMs: ahead.lastReading.atMs, machine: ahead.machine }]))
    .sort((a, b) => b.atMs - a.atMs)[0];
  const machine = home.machines.find((one) => one.id === last?.machine);
  if (last === undefined || machine === undefined) return 'No reading has been entered yet.';
  const day = dayOf(last.atMs, home.household.zone);
  return `Last read: ${machine.name}, ${sayDayShort(day, outlook.today, home.household.locale)}.`;
}
