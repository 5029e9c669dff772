import { oneLine } from './sentence.js';

/** Why a service stands still, and what a person is to do, from the most to the least needed. */
export interface StillWords {
  readonly heading: string;
  readonly lead: string;
  /** Above the command. */
  readonly before: readonly string[];
  /** What to type, ready to be pasted into a shell; null where nothing is to be typed. */
  readonly command: string | null;
  /** Below it. */
  readonly after: readonly string[];
}

/** What every lead of a service that stands still says.
 *  @param cause  a clause: `The data file is damaged`
 *  @param until  when it goes on
 *  Source: own design. */
export function sayStandsStill(cause: string, until: string): string {
  return `${cause}, so the service stands still: no reading and no confirmation is taken, and no reminder goes out, until ${until}.`;
}

/** The same for one who is not on the computer that runs the service, and may be anybody: no path stands in it.
 *  @param isSaidThere  whether the page says more on that computer; not where that, too, asks for the password
 *  Source: own design. */
export function sayStillElsewhere({ heading, lead }: StillWords, isSaidThere = true): StillWords {
  return {
    heading,
    lead,
    before: [
      isSaidThere
        ? 'What to do is said in the message that went out, in the log of the service, and on this page when it is opened on the computer that runs the service.'
        : 'What to do is said in the message that went out, and in the log of the service.',
      'Keep what you wanted to enter: write it on paper, or leave it waiting on this device.',
    ],
    command: null,
    after: [],
  };
}

/** The same as a letter.
 *  @param subject    what is wrong, after the name of the household
 *  @param household  its name
 *  Source: own design. */
export function writeStillLetter(said: StillWords, subject: string, household: string) {
  return {
    subject: `${oneLine(household)}: ${subject}`,
    lead: said.lead,
    blocks: [
      ...said.before.map((text) => ({ kind: 'text' as const, text })),
      ...(said.command === null ? [] : [{ kind: 'typed' as const, text: said.command }]),
      ...said.after.map((text) => ({ kind: 'text' as const, text })),
    ],
  };
}

/** A word that a POSIX shell takes as it stands. Source: POSIX Shell Command Language, 2.2.2 Single-Quotes. */
export function shellWord(text: string): string {
  return /^[\w@%+=:,./-]+$/.test(text) ? text : `'${text.replaceAll("'", `'\\''`)}'`;
}
