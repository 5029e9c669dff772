import { type Moment, mostElapsedMs } from './moment.js';

/** Wall-clock time that run time may still be counted against: it adds up as time passes and is spent by what is counted,
 *  so a backlog that drains at once is counted in full, and nothing ever counts more than time has passed. */
export interface Allowance {
  /** Milliseconds left over at `since`; down to minus the slack. */
  readonly leftMs: number;
  /** The last counted arrival. */
  readonly since: Moment;
}

/** Clocks of sensors and of this computer tick a little differently. Source: the counting rules of the feed, our own. */
const slackMs = 5_000;
/** Where no clock can tell how long this computer was off, so much may have passed: longer than a broker keeps our session (30 days),
 *  short enough that one mad value does not count for years. What is refused meanwhile counts once the clock is set. Our own rule. */
const mostUntoldMs = 31 * 86_400_000;

/** An allowance that starts to add up now. */
export function startAllowance(now: Moment): Allowance {
  return { leftMs: 0, since: now };
}

/** Milliseconds that may be counted now, slack included; 31 days and the time since the start where no clock can tell how long it has been.
 *  @param slack  milliseconds */
export function allowedMs(allowance: Allowance, now: Moment, slack = slackMs): number {
  return allowance.leftMs + mostBelievedMs(allowance.since, now) + slack;
}

/** What would be allowed if nothing had been saved up: only the time since the last counted arrival, slack included.
 *  @param slack  milliseconds
 *  @returns      milliseconds, never below the slack */
export function liveMs(allowance: Allowance, now: Moment, slack = slackMs): number {
  return mostBelievedMs(allowance.since, now) + slack;
}

/** The allowance after counting `countedMs` now. Where no clock could tell, it starts anew. */
export function spend(allowance: Allowance, countedMs: number, now: Moment, slack = slackMs): Allowance {
  const left = allowance.leftMs + mostElapsedMs(allowance.since, now) - countedMs;
  return { leftMs: Number.isFinite(left) ? Math.max(-slack, left) : 0, since: now };
}

function mostBelievedMs(from: Moment, to: Moment): number {
  const most = mostElapsedMs(from, to);
  return Number.isFinite(most) ? most : mostUntoldMs + Math.max(0, to.monotonicMs);
}
