import type { AnnouncedVisit, GivenAnswer } from '../domain/facts.js';
import { answersGiven } from '../ledger/told.js';
import { sayDate } from '../words/dates.js';
import { sayMachine } from '../words/machine.js';
import { sayTask } from '../words/task.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { Page } from './layout.js';
import type { Shown } from './shown.js';

/** The answer that left a visit out, where it stands: it names work that the visit was announced with. */
export function leftOutBy(
  given: Given,
  { id, tasks, announcedAtMs }: AnnouncedVisit,
  shown: Shown,
): GivenAnswer | null {
  const state = shown.facts.visits.find((visit) => visit.id === id)?.state;
  if (state !== 'dropped') return null;
  const isAboutIt = ({ answer, takenBackAtMs }: GivenAnswer) =>
    takenBackAtMs === null &&
    answer.kind === 'leave-out' &&
    answer.atMs >= announcedAtMs &&
    tasks.every((task) => answer.tasks.includes(task));
  return answersGiven(given.books, shown.machine.id).find(isAboutIt) ?? null;
}

interface LeftOutProps {
  readonly announced: AnnouncedVisit;
  readonly by: GivenAnswer;
  readonly shown: Shown;
  readonly assets: Assets;
}

/** An old link to a visit that was left out: until when, and the way to take that back. */
export function LeftOut({ announced, by, shown, assets }: LeftOutProps) {
  const { machine, ahead, outlook, household } = shown;
  const say = (day: Parameters<typeof sayDate>[0]) => sayDate(day, outlook.today, household.locale);
  return (
    <Page title={`Left out · ${machine.name}`} assets={assets}>
      <h1>It is left out this time.</h1>
      <p>
        Somebody left it out on {say(dayOfAnswer(by, outlook.today))}. Nothing is said about it on {sayMachine(machine)}{' '}
        until it is due again:
      </p>
      <ul class="plain">
        {announced.tasks.map((task) => {
          const day = ahead?.dues.find((due) => due.task === task)?.day?.p50;
          return (
            <li>
              {sayTask(task, machine)}: {day === undefined ? 'no day can be named yet' : `about ${say(day)}`}
            </li>
          );
        })}
      </ul>
      <p class="acts">
        <a class="act main" href={`/answered/${by.id}`}>
          Take that back
        </a>
        <a class="act" href="/">
          Months ahead
        </a>
      </p>
    </Page>
  );
}

function dayOfAnswer({ answer }: GivenAnswer, today: Shown['outlook']['today']) {
  return answer.kind === 'leave-out' ? answer.day : today;
}
