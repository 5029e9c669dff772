import { Fault, type FaultDetails } from '../domain/fault.js';

/** Fault codes that this folder raises, each with when. */
const pageFaults = {
  'form-unreadable': 'a form came with fields of the wrong shape',
  'form-without-key': 'a form came without the key that the page gave it',
  'machine-unknown': 'the address names a machine that the home folder does not have',
  'task-unknown': 'the address names a task that the machine does not have',
  'person-unknown': 'the address names a person that household.yaml does not have',
  'plan-unknown': 'a new machine was asked for with a plan that does not exist',
  'file-unsound': 'a file of the home folder cannot be read as it stands',
  'visit-unknown': 'the address names a visit that is neither planned nor on record',
  'record-unknown': 'the address names a record that does not exist',
  'letter-unknown': 'the address names a message that was never written',
  'entry-unknown': 'the address names a reading, a run or a rest that was not entered for this machine',
  'answer-unknown': 'the address names an answer that was never given',
  'answer-missing': 'a question came back without one of its answers',
  'nothing-ticked': 'a confirmation came without any task',
  'out-of-season': 'work that a season brings was confirmed months before it',
  'day-missing': 'an answer that needs a day came without one',
  'reading-as-filled': 'the hours that the page filled in came back unchanged',
  'minutes-unreadable': 'the minutes of a run are not a whole number from 1 to 1440',
  'hours-without-meter': 'a machine was said to have no hour meter, and what it showed first',
  'sensor-of-another-kind': 'something was said of a sensor that only another kind of sensor has',
  'last-said-twice': 'when a job was done last was said in two ways',
  'last-unsaid': 'a job was said to be done on a day or at hours that were not named',
  'name-twice': 'a part or fluid was to be added to a job that has one of this name',
  'password-without-user': 'a password for the mail server or the broker came without the user name that it belongs to',
  'paid-missing': 'what was paid for was said without the amount',
  'amount-unreadable': 'an amount of stock is not a number of at least 0',
  'text-too-long': 'a note is longer than fits',
} as const;

/** A fault of this folder in the words of a person. */
export function pageFault(details: FaultDetails & { readonly code: keyof typeof pageFaults }): Fault {
  return new Fault(details);
}

const statuses: Readonly<Record<string, number>> = {
  'machine-unknown': 404,
  'task-unknown': 404,
  'person-unknown': 404,
  'plan-unknown': 404,
  'visit-unknown': 404,
  'record-unknown': 404,
  'letter-unknown': 404,
  'entry-unknown': 404,
  'answer-unknown': 404,
};

/** The HTTP status of a fault: 404 where a name in the address is unknown, else 400. */
export function statusOf(fault: Fault): number {
  const known = statuses[fault.code];
  if (known !== undefined) return known;
  // What the disk or the data file did is not the sender's fault: the same form may well go through later.
  return fault.code.startsWith('store-') || fault.code.startsWith('disk-') ? 503 : 400;
}
