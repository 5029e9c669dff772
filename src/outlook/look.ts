import { dayOf } from '../domain/day.js';
import { helpQuestions } from '../domain/did-it-help.js';
import { type Facts, noFacts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Ill } from '../domain/ill.js';
import { openFindings } from '../domain/open-findings.js';
import type { Spread } from '../domain/results/due.js';
import type { WaitingNotice } from '../domain/results/notice.js';
import type { HoursTrace, MachineOutlook, Outlook } from '../domain/results/outlook.js';
import { forecastDues } from '../forecast/due.js';
import { withWeather } from '../forecast/weather.js';
import { hoursPerYear, hoursQuantiles } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { foresee } from '../hours/foresee.js';
import { sensorPerMeterHour } from '../hours/ratio.js';
import { decideMessages } from '../reminders/decide.js';
import type { Prospect } from '../reminders/prospect.js';
import { planVisits } from '../visits/plan-visits.js';
import { sayDoubt } from './doubt.js';
import { type Memory, type Remembered, recallHours } from './memory.js';
import { findProblems } from './problems.js';
import { traceHours } from './trace.js';

/** An outlook with what waits to be said, for the notices page. */
export interface FullOutlook extends Outlook {
  readonly waiting: readonly WaitingNotice[];
}

/** The whole chain at one moment: evidence → hours → dues → visits → messages. Everything that shows or sends anything asks
 *  here, so that a page and a mail of the same moment cannot disagree.
 *  @param home    checked configuration
 *  @param facts   all that is stored; a machine without facts counts as new
 *  @param nowMs   UTC milliseconds
 *  @param memory  keeps fits between looks; absent: everything is fitted anew, with the same answer
 *  @param ills    what is wrong with the service itself, to be told of
 *  @returns       one machine outlook for each machine of the home, gone ones too; `nextLookMs` 1 minute to 7 days ahead
 *  @throws Fault  quantity-unreadable, unit-unknown where a plan holds a fluid without a readable quantity
 *  Source: own design. */
export function lookAhead(
  home: Home,
  facts: Facts,
  nowMs: number,
  memory?: Memory,
  ills: readonly Ill[] = [],
): FullOutlook {
  const household = home.household;
  const weather = withWeather(household, facts.nights ?? [], dayOf(nowMs, household.zone));
  const remembered = new Map<string, Remembered>();
  const prospects = home.machines.map((machine): Prospect => {
    const known = facts.machines.find((one) => one.machine === machine.id) ?? noFacts(machine.id);
    const hours = recallHours(machine, known, household, nowMs, memory);
    remembered.set(machine.id, hours);
    const { estimate } = hours;
    const dues = forecastDues(machine, known, estimate, weather, nowMs, hours.courses);
    const foresight = estimate === null ? null : foresee(estimate);
    const visits = planVisits(machine, known, dues, weather, nowMs, foresight);
    return { machine, facts: known, foresight, dues, visits };
  });
  const { messages, nextLookMs, waiting } = decideMessages({ home, facts, outlooks: prospects, ills, nowMs });
  return {
    nowMs,
    today: dayOf(nowMs, household.zone),
    factsVersion: facts.version,
    machines: prospects.map((prospect) => machineOutlook(prospect, remembered.get(prospect.machine.id), nowMs)),
    visits: prospects
      .flatMap((prospect) => prospect.visits)
      .sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.id < b.id ? -1 : 1)),
    messages,
    nextLookMs,
    problems: findProblems(home, new Map([...remembered].map(([id, { estimate }]) => [id, estimate]))),
    waiting,
  };
}

function machineOutlook(
  { machine, facts, dues }: Prospect,
  hours: Remembered | undefined,
  nowMs: number,
): MachineOutlook {
  const estimate = hours?.estimate ?? null;
  let hoursNow: Spread<number> | undefined;
  let trace: HoursTrace | null = null;
  return {
    machine: machine.id,
    // Only letters and pages say it: found when somebody asks.
    get hoursNow() {
      if (estimate === null || isNeverTold(machine, facts)) return null;
      hoursNow ??= spreadOf(estimate, nowMs);
      return hoursNow;
    },
    lastReading: facts.readings.at(-1) ?? null,
    aside: facts.aside,
    feed: facts.feedTotal,
    feedRatio: estimate === null ? null : sensorPerMeterHour(estimate.ratio),
    dues,
    hoursPerYear: estimate === null ? null : hoursPerYear(estimate, nowMs),
    // Only pages draw it.
    get trace() {
      trace ??= traceHours(estimate, nowMs, hours?.trace);
      return trace;
    },
    doubt: sayDoubt(machine, estimate, nowMs),
    toMend: openFindings(machine, facts),
    helpToAsk: helpQuestions(facts, nowMs).map((question) => ({
      ...question,
      askedOf: facts.sent.filter(({ atMs }) => atMs >= question.sinceMs).map(({ to }) => to),
    })),
  };
}

/** Without a meter, hours are what was told or counted: before the first of it nobody knows what stands behind the machine. */
function isNeverTold(
  { meter }: Prospect['machine'],
  { readings, toldRuns, runs, feedTotal }: Prospect['facts'],
): boolean {
  const nothing = readings.length === 0 && toldRuns.length === 0 && runs.length === 0 && feedTotal === null;
  return meter.kind === 'none' && nothing;
}

function spreadOf(estimate: HoursEstimate, atMs: number): Spread<number> {
  const [p10 = 0, p50 = p10, p90 = p50] = hoursQuantiles(estimate, atMs, [0.1, 0.5, 0.9]);
  return { p10, p50, p90 };
}
