import { Fault } from '../domain/fault.js';

/** The codes of this folder, and when each is raised. What hours/believe refuses keeps the code it got there. */
export const ledgerErrors = {
  'machine-unknown': 'An entry names a machine that the home folder lacks.',
  'machine-has-a-meter': 'A told run was entered for a machine whose meter can be read.',
  'secret-unreadable': 'A password is empty or not on one line.',
  'hours-unreadable': 'Hours are not a plain number.',
  'minutes-unreadable': 'Minutes are not a number within their range.',
  'instant-in-future': 'An entry is of a moment that has not come yet.',
  'instant-out-of-range': 'An entry is of a moment before 1970, or is no moment.',
  'more-than-a-day': 'Told runs of one day add up to more than 24 hours.',
  'span-unreadable': 'A run or a stretch of coverage ends before it begins, or is no span.',
  'total-unreadable': 'The exact total of a feed is no number of seconds.',
  'row-questionable': 'An imported reading is hard to believe.',
  'row-task-unknown': 'An imported record names a task that the machine does not have.',
  'aside-unknown': 'No reading of that id was kept aside.',
  'aside-dropped': 'A reading kept aside was confirmed after it had been dropped.',
  'aside-confirmed': 'A reading kept aside was dropped after it had been confirmed.',
  'run-questionable': 'The minutes told of a run are hard to believe.',
  'reading-questionable': 'The hours given with a confirmation are hard to believe.',
  'reading-unknown': 'No reading of that id was entered.',
  'reading-of-record': 'A reading was to be taken back without the record that it came with.',
  'answer-unknown': 'No answer of that id was given.',
  'no-tasks': 'Nothing was ticked.',
  'closing-job-missing': 'A job that leaves something open was confirmed without the one that closes it.',
  'task-not-in-visit': 'A task was confirmed that the visit never held.',
  'visit-of-another-machine': 'A visit was confirmed for a machine it is not of.',
  'day-in-future': 'Work was confirmed for a day that has not come yet.',
  'day-before-machine': 'Work was confirmed for a day before the machine was known here.',
  'day-out-of-range': 'An answer names a day that cannot be meant.',
  'finding-of-another-task': 'A finding is of a task that was not confirmed.',
  'own-visit-without-finding':
    'A job was to be mended another day, though nothing of it was found outside its limits and left so.',
  'value-left-missing': 'A job that adjusts something was confirmed without its value as left.',
  'finding-unreadable': 'A finding is no value that its measurement can take.',
  'text-too-long': 'A note is longer than anyone reads.',
  'text-empty': 'A note holds nothing.',
  'record-unknown': 'No record of that id was written.',
  'task-unknown': 'A task is named that the machine does not have.',
  'noticed-unknown': 'Nothing of that id was noticed, or said of what was noticed.',
  'not-seen-to': 'Whether it helped is said of something that was not seen to yet.',
  'amount-unreadable': 'An amount of stock is no number of at least 0.',
  'paid-unknown': 'No amount of that id was ever said to be paid.',
  'row-paid-otherwise': 'An imported record tells another amount than the one on record.',
  'device-unfit': 'A browser asked to be told with a subscription that cannot be used.',
  'too-many-devices': 'A person has more devices to be told on than anybody uses.',
  'person-unknown': 'A device is for somebody who is not in household.yaml.',
  'key-of-another-entry': 'One key was used for two different kinds of entry.',
} as const;

export type LedgerCode = keyof typeof ledgerErrors;

/** A fault of this folder in the words of a person. */
export function refusal(
  code: LedgerCode,
  message: string,
  details: {
    readonly place?: string;
    readonly found?: string;
    readonly remedy?: string;
    readonly cause?: unknown;
  } = {},
): Fault {
  return new Fault({ code, message, ...details });
}

/** The refusal of a machine that no file describes.
 *  @param known  ids to name in the remedy */
export function machineUnknown(id: string, known: readonly string[]): Fault {
  return refusal('machine-unknown', 'There is no such machine', {
    found: JSON.stringify(id.slice(0, 60)),
    remedy: known.length === 0 ? 'Add its file to the folder machines.' : `Known: ${known.join(', ')}.`,
  });
}

/** An answer for what a person may get wrong, in place of an exception. */
export interface Refused {
  readonly kind: 'refused';
  readonly fault: Fault;
}

/** Carries any fault out of a transaction that must be undone, to be answered as refused. */
export class Refusal extends Error {
  readonly fault: Fault;

  constructor(fault: Fault) {
    super(fault.message, { cause: fault });
    this.fault = fault;
  }
}

/** Turns what a person got wrong into its answer; the transaction around it is undone by then. Faults of the disk go on. */
export function orRefused<T>(action: () => T): T | Refused {
  try {
    return action();
  } catch (cause) {
    if (cause instanceof Refusal) return { kind: 'refused', fault: cause.fault };
    if (cause instanceof Fault && (cause.code in ledgerErrors || cause.code === 'day-unreadable')) {
      return { kind: 'refused', fault: cause };
    }
    throw cause;
  }
}
