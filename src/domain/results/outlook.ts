import type { Day } from '../day.js';
import type { HelpQuestion } from '../did-it-help.js';
import type { AsideReading, FeedTotal, Reading } from '../facts.js';
import type { OpenFinding } from '../open-findings.js';
import type { Due, Spread } from './due.js';
import type { Message } from './notice.js';
import type { Visit } from './visit.js';

/** Hours over time for the chart: quantiles at instants. */
export interface HoursTrace {
  readonly atMs: readonly number[];
  readonly p10: readonly number[];
  readonly p50: readonly number[];
  readonly p90: readonly number[];
}

/** What is to be said of one machine at one moment. */
export interface MachineOutlook {
  readonly machine: string;
  /** Null where nothing at all is known of the hours. */
  readonly hoursNow: Spread<number> | null;
  readonly lastReading: Reading | null;
  readonly aside: readonly AsideReading[];
  readonly feed: FeedTotal | null;
  /** Hours that the sensor counts per hour of the meter, learnt from readings; null where nothing taught it. */
  readonly feedRatio: Spread<number> | null;
  /** One entry a task, soonest first. */
  readonly dues: readonly Due[];
  /** Expected hours over the next year at the present pace; null where nothing is known. */
  readonly hoursPerYear: number | null;
  readonly trace: HoursTrace;
  /** A season word that the readings contradict, in words; null where they do not. */
  readonly doubt: string | null;
  /** What was found outside its limits and waits to be mended. */
  readonly toMend: readonly OpenFinding[];
  /** Whether what was seen to helped, to be asked now; `askedOf`: the people whom a message has asked already. */
  readonly helpToAsk: readonly (HelpQuestion & { readonly askedOf: readonly string[] })[];
}

/** All that the service has to say at one moment. */
export interface Outlook {
  readonly nowMs: number;
  readonly today: Day;
  readonly factsVersion: number;
  readonly machines: readonly MachineOutlook[];
  /** Soonest first, at most two years ahead. */
  readonly visits: readonly Visit[];
  /** To be sent now. */
  readonly messages: readonly Message[];
  /** Nothing can change before this instant unless a fact does. */
  readonly nextLookMs: number;
  /** Plain sentences about what is wrong with the service or its set-up. */
  readonly problems: readonly string[];
}
