import { Fault } from './fault.js';

/** Hours on a meter, or counted like them: a finite number, made by `meterHours` only. */
export type MeterHours = number & { readonly brand: 'meter-hours' };

/** The one door to `MeterHours`: what passes is finite, so that NaN and infinities leave no function that answers them.
 *  @param hours  hours; may lie below zero, where an older meter stood further
 *  @throws       Fault hours-not-finite: a fault of the caller, not of a person */
export function meterHours(hours: number): MeterHours {
  if (isMeterHours(hours)) return hours;
  throw new Fault({ code: 'hours-not-finite', message: 'Hours are no finite number', found: String(hours) });
}

function isMeterHours(hours: number): hours is MeterHours {
  return Number.isFinite(hours);
}
