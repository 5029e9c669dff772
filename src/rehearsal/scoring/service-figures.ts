import { type Day, daysBetween } from '../../domain/day.js';
import type { RehearsalReport } from '../report.js';
import { mean } from './score.js';

/** How reminders got one task done, over several rehearsals of it. */
export interface ServiceFigures {
  readonly services: number;
  /** Share done before limit and tolerance were passed. */
  readonly onTime: number;
  /** Mean share of the interval wasted by doing it early. */
  readonly wasted: number;
  /** Questions and trips in vain, a machine-year. */
  readonly troubles: number;
  /** Messages of all kinds, a service. */
  readonly messages: number;
  /** Share of the services whose parts were named at least so many days before that they could arrive. */
  readonly partsInHand: number;
}

/** Sums rehearsals of one machine each.
 *  @param reports   at least one service among them
 *  @param leadDays  what the parts of the task take to arrive
 *  @throws          RangeError where nothing was done */
export function figuresOf(reports: readonly RehearsalReport[], from: Day, to: Day, leadDays: number): ServiceFigures {
  const services = reports.flatMap((report) => report.services);
  const years = (reports.length * daysBetween(from, to)) / 365.25;
  const overs = services.flatMap(({ overHours, toleranceHours, intervalHours }) =>
    overHours === null || toleranceHours === null || intervalHours === null
      ? []
      : [{ over: overHours, tolerance: toleranceHours, interval: intervalHours }],
  );
  const sum = (of: (report: RehearsalReport) => number) => reports.reduce((total, report) => total + of(report), 0);
  return {
    services: services.length,
    onTime: mean(overs.map(({ over, tolerance }) => (over <= tolerance ? 1 : 0))),
    wasted: mean(overs.map(({ over, interval }) => Math.max(0, -over) / interval)),
    troubles: sum((report) => report.questions + report.wastedTrips) / years,
    messages: sum((report) => report.messages) / services.length,
    partsInHand: mean(
      services.map(({ partsNoticeLeadDays }) =>
        partsNoticeLeadDays !== null && partsNoticeLeadDays >= leadDays ? 1 : 0,
      ),
    ),
  };
}
