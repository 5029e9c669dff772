import { dayOf, type Zone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { readingFault } from './errors.js';
import type { LikelySlip } from './likely-slip.js';
import type { Clash, Neighbours } from './neighbours.js';

/** What is asked about a reading that is hard to believe.
 *  @param reading   as typed
 *  @param expected  quantiles 0.05 and 0.95 on the meter in use at its instant, hours
 *  @param shift     carries that meter over to the one in use now, hours
 *  @param slip      what was probably meant; null where nothing is likely enough */
export function ask(
  { before, after }: Neighbours,
  reading: { readonly hours: number },
  expected: { readonly low: number; readonly high: number },
  shift: number,
  slip: LikelySlip | null,
  zone: Zone,
): string {
  const typed = sayRead(reading.hours);
  const { low, high } = expected;
  const stood = (one: { readonly atMs: number; readonly hours: number }) =>
    `${sayRead(one.hours - shift)} of ${dayOf(one.atMs, zone)}`;
  const doubt = slip === null ? 'Is it right?' : sayMeant(slip, typed);
  if (before === undefined) return `I expected ${sayRange(low, high)}, not ${typed}. ${doubt}`;
  if (after !== undefined) {
    return `${typed} lies between the ${stood(before)} and the ${stood(after)}, but I expected ${sayRange(low, high)}. ${doubt}`;
  }
  const most = high < reading.hours ? `; I expected at most about ${sayAbout(high)}` : '';
  return `${typed} is ${sayRead(reading.hours - (before.hours - shift))} more than the ${stood(before)}${most}. ${doubt}`;
}

/** Why a reading cannot be, from how it contradicts its neighbours.
 *  @param shift  from the meter in use at its instant, hours */
export function clashFault(found: Clash, reading: { readonly hours: number }, shift: number, zone: Zone): Fault {
  const shown = sayRead(reading.hours - shift);
  const stood = `${sayRead(found.with.hours - shift)} on ${dayOf(found.with.atMs, zone)}`;
  const again = 'Look again, and check the day.';
  switch (found.kind) {
    case 'below-last':
      return readingFault(
        'reading-below-last',
        `The meter stood at ${stood}, and a meter does not run backwards`,
        shown,
        'Look again; if the meter was replaced, say so in the machine file.',
      );
    case 'too-fast':
      return readingFault(
        'reading-too-fast',
        `That is more than 24 hours a day since the meter stood at ${stood}`,
        shown,
        again,
      );
    case 'above-later':
      return readingFault('reading-above-later', `A later reading is lower: the meter stood at ${stood}`, shown, again);
    case 'too-fast-after':
      return readingFault(
        'reading-too-fast',
        `From this reading to ${stood} would be more than 24 hours a day`,
        shown,
        again,
      );
  }
}

/** A refusal that names what was probably meant as well. */
export function naming(fault: Fault, slip: LikelySlip): Fault {
  const { code, message, found, retry } = fault;
  return new Fault({
    code,
    message,
    found,
    retry,
    remedy: `${sayMeant(slip, found ?? '')} ${fault.remedy ?? ''}`.trim(),
  });
}

/** Hours as a meter shows them, with all their digits: a suggestion is entered as it stands. */
export function sayRead(hours: number): string {
  return `${Math.round(hours * 100) / 100} h`;
}

/** @param typed  the value as typed, in words */
function sayMeant(slip: LikelySlip, typed: string): string {
  if (slip.value === null) {
    const fits = slip.odds >= 1 ? 'better' : 'too';
    return `${typed} fits ${slip.machine ?? 'another machine'} ${fits}. Was it read there?`;
  }
  const meant = sayRead(slip.value);
  return slip.slip === 'last-meter'
    ? `Did you mean ${meant}, without the hours of the meter before?`
    : `Did you mean ${meant}?`;
}

function sayRange(low: number, high: number): string {
  return sayAbout(low) === sayAbout(high)
    ? `about ${sayAbout(low)}`
    : `${sayAbout(low).replace(' h', '')} to ${sayAbout(high)}`;
}

function sayAbout(hours: number): string {
  return `${Math.round(hours * 10) / 10} h`;
}
