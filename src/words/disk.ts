import type { Day } from '../domain/day.js';
import type { Letter } from '../domain/results/letter.js';
import { sayDay } from './dates.js';
import { ended, oneLine } from './sentence.js';
import { type StillWords, sayStandsStill, shellWord, writeStillLetter } from './still.js';

/** Says by letter that nothing can be written down.
 *  @param why        the sentence of the page
 *  @param household  its name
 *  Source: own design. */
export function writeDiskLetter(why: string, household: string): Letter {
  return {
    subject: `${oneLine(household)}: nothing can be written down`,
    lead: why,
    blocks: [
      { kind: 'text', text: 'Until this is mended, reminders may come late or not at all.' },
      { kind: 'text', text: 'Once the disk takes writing again, the service goes on by itself.' },
    ],
  };
}

/** A disk below the data that lets no service start. */
export interface DiskRefusal {
  readonly kind: 'full' | 'read-only' | 'not-allowed' | 'refuses';
  /** Where the data are. */
  readonly folder: string;
  /** What the system said. */
  readonly found: string;
  /** The newest backup that is whole, and the day on which it was made; null where there is none. */
  readonly copy: { readonly file: string; readonly day: Day } | null;
  /** The number of the user that runs the service, where the system has such. */
  readonly user: number | null;
  /** Room that a start wants, MiB. */
  readonly wantsMiB: number;
}

const refusals = {
  full: ['The disk of the data is full', 'there is room again'],
  'read-only': ['The disk of the data may be read but not written', 'it can be written again'],
  'not-allowed': ['The user that runs the service may not write the data', 'it may'],
  refuses: ['The disk of the data does not read or write as asked', 'it does'],
} as const;

const wearsOut = 'Many disks and memory cards begin to fail like this.';

/** Why the service does not start, and what to do.
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: own design. */
export function sayDiskRefusal(refusal: DiskRefusal, today: Day, locale: string): StillWords {
  const { kind, copy, user } = refusal;
  const [cause, until] = refusals[kind];
  const folder = oneLine(refusal.folder);
  const newest =
    copy === null
      ? 'No backup that is whole was found.'
      : `Copy the newest backup elsewhere first: ${oneLine(copy.file)}, made on ${sayDay(copy.day, today, locale)}.`;
  const remedies = {
    full: [
      `Make room on that disk: at least ${refusal.wantsMiB} MiB, better some hundreds, or it is full again before long.`,
    ],
    'read-only': [
      `${wearsOut} ${newest}`,
      'Then start the computer anew. If the disk is read-only again, replace it and restore the backup. If somebody made it read-only on purpose, mount it so that it may be written.',
    ],
    'not-allowed': [
      `This happens when the data were put back or copied by another user, such as root. ${user === null ? 'Give them to the user that runs the service.' : 'To give them back, type this as root:'}`,
    ],
    refuses: [`${wearsOut} ${newest}`, 'Then start the computer anew. If it says so again, replace the disk.'],
  } as const;
  return {
    heading: `${cause}.`,
    lead: sayStandsStill(cause, until),
    before: [
      `The data are in ${folder}. The system said: ${ended(oneLine(refusal.found))} What is on record is left as it is.`,
      ...remedies[kind],
    ],
    command: kind === 'not-allowed' && user !== null ? `chown -R ${user} ${shellWord(folder)}` : null,
    after: ['Once that is done, the service goes on by itself.'],
  };
}

/** The same as a letter.
 *  @param household  its name
 *  Source: own design. */
export function writeRefusalLetter(said: StillWords, household: string): Letter {
  return writeStillLetter(said, 'the service stands still', household);
}
