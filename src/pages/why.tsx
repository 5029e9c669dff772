import type { RequestHandler } from 'express';
import { earlierDay } from '../domain/day.js';
import type { Due } from '../domain/results/due.js';
import type { Why, WhySeason } from '../domain/results/why.js';
import { dayIfUsed, explainDue } from '../outlook/explain-due.js';
import { explainSeason } from '../outlook/explain-season.js';
import { sayDecimal } from '../words/counts.js';
import { sayDate } from '../words/dates.js';
import { sayMachine } from '../words/machine.js';
import { sayTask } from '../words/task.js';
import { unbroken } from '../words/unbroken.js';
import { hoursLeft, sayIfRead, sayWhenDue, sayWhy } from '../words/why.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { Page, sendPage } from './layout.js';
import { Figures, wayToMachine } from './pieces.js';
import { type Shown, showMachine } from './shown.js';

/** More hours than a week has are no pace. */
const mostHoursPerWeek = 168;

/** Why a task comes due when it does, with a sum of one's own: `?week=3` supposes three hours a week from today. */
export function whyPage(given: Given, assets: Assets): RequestHandler<{ id: string; task: string }> {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    const due = shown.ahead?.dues.find((one) => one.task === request.params.task);
    const why = due === undefined ? null : explainDue(given.books.home(), shown.facts, due, shown.outlook.nowMs);
    if (due === undefined || why === null) {
      throw pageFault({
        code: 'task-unknown',
        message: `${shown.machine.name} has no such task`,
        found: JSON.stringify(request.params.task.slice(0, 60)),
        remedy: 'Its page lists them.',
      });
    }
    const task = shown.machine.tasks.find((one) => one.id === due.task);
    const season = explainSeason(due, task, shown.household, given.facts(), shown.outlook.today);
    const week = typeof request.query.week === 'string' ? request.query.week.trim() : '';
    sendPage(response, 200, <WhyView shown={shown} due={due} why={why} season={season} week={week} assets={assets} />);
  };
}

interface WhyProps {
  readonly shown: Shown;
  readonly due: Due;
  readonly why: Why;
  /** Null where no season brings the task. */
  readonly season: WhySeason | null;
  /** As typed; empty where nothing was asked. */
  readonly week: string;
  readonly assets: Assets;
}

function WhyView({ shown, due, why, season, week, assets }: WhyProps) {
  const { machine, outlook, household } = shown;
  const { locale } = household;
  return (
    <Page title={`Why this date? ${sayTask(due.task, machine)}`} up={wayToMachine(machine)} assets={assets}>
      <h1>Why this date?</h1>
      <p class="second">
        {sayTask(due.task, machine)} on {sayMachine(machine)}: {sayWhenDue(due, outlook.today, locale)}.
      </p>
      {sayWhy(why, machine, household, season).map((said) => (
        <p>
          <Figures text={said} areAllOfMeter />
        </p>
      ))}
      {why.byHours === null ? null : (
        <>
          {why.byHours.ifRead.length === 0 ? null : (
            <section>
              <h2>What a reading today would change</h2>
              <ul>
                {why.byHours.ifRead.map((supposed) => (
                  <li>
                    <Figures text={sayIfRead(supposed, outlook.today, locale)} areAllOfMeter />
                  </li>
                ))}
              </ul>
              <p class="acts">
                <a class="act" href={`/machines/${machine.id}/reading`}>
                  Enter a reading
                </a>
              </p>
            </section>
          )}
          <section>
            <h2>What if it ran more, or less?</h2>
            <form method="get" action={`/machines/${machine.id}/why/${due.task}`}>
              <label>
                <span>Hours a week from today</span>
                <input name="week" inputmode="decimal" value={week} required maxlength={8} />
              </label>
              <button class="act" type="submit">
                Work it out
              </button>
            </form>
            {week === '' ? null : <p role="status">{unbroken(sayWhatIf(why, week, locale))}</p>}
          </section>
        </>
      )}
    </Page>
  );
}

/** The sum for a pace that a person supposes, step by step. */
function sayWhatIf(why: Why, typed: string, locale: string): string {
  const { due, byHours, today } = why;
  const perWeek = Number(typed.replace(',', '.'));
  if (byHours === null || !/^\d+([.,]\d+)?$/.test(typed) || !(perWeek > 0 && perWeek <= mostHoursPerWeek)) {
    return `“${typed}” is no number of hours a week: write one above 0 and at most ${mostHoursPerWeek}, such as 2.5.`;
  }
  const left = Math.max(0, hoursLeft(byHours));
  const day = dayIfUsed(why, perWeek);
  const sum = `About ${sayDecimal(left, 1)} h are left, and ${sayDecimal(left, 1)} / ${sayDecimal(perWeek, 2)} is ${sayDecimal(left / perWeek, 1)} weeks`;
  if (day === null) return `${sum}: more than ten years.`;
  const calendar = due.calendarDay;
  const first = calendar !== null && earlierDay(calendar, day) === calendar && calendar !== day;
  return first
    ? `${sum}: about ${sayDate(day, today, locale)}. The calendar comes before that, on ${sayDate(calendar, today, locale)}.`
    : `${sum}: about ${sayDate(day, today, locale)}.`;
}
