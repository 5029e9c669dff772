import { Fault } from '../domain/fault.js';

/** Codes of this folder. */
export type ForecastFaultCode =
  /** A case has neither readings nor runs. */
  | 'case-without-evidence'
  /** The hours of a case fall from one reading to the next. */
  | 'case-hours-fall'
  /** Two readings of one instant differ. */
  | 'case-readings-disagree'
  /** A reading, run or statement of a case lies after its now. */
  | 'case-in-future';

/** A fault in a case to be forecast.
 *  @param message  one sentence without its full stop */
export function caseFault(code: ForecastFaultCode, message: string, found: string, remedy: string): Fault {
  return new Fault({ code, message, found, remedy });
}
