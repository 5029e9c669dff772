import type { Day } from '../domain/day.js';
import { sayCount } from './counts.js';
import { sayAgo, sayDay } from './dates.js';
import { ended, oneLine } from './sentence.js';

/** What can be wrong with the service or its set-up, as data; the words are made here. */
export type Problem =
  /** A way out refused a letter for good. */
  | { readonly kind: 'letter-refused'; readonly to: string; readonly subject: string; readonly reason: string }
  /** Letters wait for a way out that does not work at present. */
  | { readonly kind: 'letters-waiting'; readonly count: number; readonly since: Day; readonly reason: string }
  | { readonly kind: 'feed-silent'; readonly machine: string; readonly since: Day | null }
  | {
      readonly kind: 'feed-refused';
      readonly machine: string;
      readonly reason: string;
      /** When it came, by the household's clock. */
      readonly came: { readonly day: Day; readonly time: string };
    }
  | { readonly kind: 'broker-away'; readonly reason: string }
  /** The computer's clock cannot be right. */
  | { readonly kind: 'clock-doubtful'; readonly shows: Day; readonly lastKnown: Day }
  /** A changed configuration file is wrong: the one before stays in force. */
  | { readonly kind: 'configuration-kept'; readonly faults: number; readonly first: string }
  /** Other devices cannot open the links. */
  | { readonly kind: 'links-here-only' }
  | { readonly kind: 'disk'; readonly reason: string };

/** One plain sentence or two about a problem: what is wrong since when, and what a person can do.
 *  @param machine names within a problem are said as given
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayProblem(problem: Problem, today: Day, locale: string): string {
  switch (problem.kind) {
    case 'letter-refused':
      return `The message “${oneLine(problem.subject)}” to ${oneLine(problem.to)} was refused: ${ended(oneLine(problem.reason))} It is kept under notices.`;
    case 'letters-waiting': {
      const waits = problem.count === 1 ? 'has been waiting' : 'have been waiting';
      return `${sayCount(problem.count, 'message')} ${waits} to go out since ${sayDay(problem.since, today, locale)}: ${ended(oneLine(problem.reason))}`;
    }
    case 'feed-silent':
      return problem.since === null
        ? `The run-time sensor of ${oneLine(problem.machine)} has not been heard yet. Is it switched on, and is its topic right?`
        : `The run-time sensor of ${oneLine(problem.machine)} was last heard ${sayAgo(problem.since, today)}. Until it speaks again the hours are a forecast; a reading off the meter helps.`;
    case 'feed-refused':
      return `Something the run-time sensor of ${oneLine(problem.machine)} said ${sayCame(problem.came, today, locale)} was not counted: ${ended(oneLine(problem.reason))}`;
    case 'broker-away':
      return `The MQTT broker cannot be reached: ${ended(oneLine(problem.reason))} Sensors are not heard until it is back.`;
    case 'clock-doubtful':
      return `The clock of this computer shows ${sayDay(problem.shows, today, locale)}, but something was stored on ${sayDay(problem.lastKnown, today, locale)}. Nothing is sent until the clock is right.`;
    case 'configuration-kept': {
      const faults = problem.faults === 1 ? 'one fault' : sayCount(problem.faults, 'fault');
      return `A changed configuration file has ${faults}; the settings from before stay in force. First: ${ended(oneLine(problem.first))}`;
    }
    case 'links-here-only':
      return 'Links in messages open on this computer only: set “address” in household.yaml to how other devices reach it.';
    case 'disk':
      return `Nothing can be stored at present: ${ended(oneLine(problem.reason))}`;
  }
}

function sayCame({ day, time }: { readonly day: Day; readonly time: string }, today: Day, locale: string): string {
  return `${day === today ? 'today' : `on ${sayDay(day, today, locale)}`} at ${time}`;
}
