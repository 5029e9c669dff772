import type { Day } from '../domain/day.js';
import type { Letter } from '../domain/results/letter.js';
import { sayDay } from './dates.js';
import { ended, oneLine } from './sentence.js';

/** A data file that is damaged, and what can be put in its place. */
export interface Damage {
  readonly file: string;
  /** What the check said. */
  readonly found: string;
  /** The newest backup that is whole, and the day on which it was made; null where there is none. */
  readonly copy: { readonly file: string; readonly day: Day } | null;
  /** Where backups were looked for. */
  readonly copies: string;
  /** The home folder. */
  readonly home: string;
  /** The service stands still; else it goes on with what can still be read. */
  readonly standsStill: boolean;
}

/** The same in words, from the most to the least needed. */
export interface DamageWords {
  readonly heading: string;
  readonly lead: string;
  /** Above the command. */
  readonly before: readonly string[];
  /** What to type, ready to be pasted into a shell. */
  readonly command: string;
  /** Below it. */
  readonly after: readonly string[];
}

/** What is wrong with the data file and how the newest whole copy is put in its place.
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: own design. */
export function sayDamage(damage: Damage, today: Day, locale: string): DamageWords {
  const { copy, standsStill } = damage;
  const command = `shedbell --home ${shellWord(damage.home)} restore ${copy === null ? 'FILE' : shellWord(copy.file)}`;
  const stop = standsStill ? '' : ' Stop the service first, and start it again afterwards.';
  return {
    heading: 'The data file is damaged.',
    lead: standsStill
      ? 'The data file is damaged, so the service stands still: no reading and no confirmation is taken, and no reminder goes out, until a copy is put in its place.'
      : 'The data file is damaged: what is entered from now on may be lost, and reminders may not come. Put the newest copy in its place soon.',
    before: [
      `The file is ${oneLine(damage.file)}. Its check said: ${ended(oneLine(damage.found))}${standsStill ? ' Nothing is written to it.' : ''}`,
      copy === null
        ? `No copy that is whole was found in ${oneLine(damage.copies)}. If there is a backup elsewhere, type this on the computer that runs the service, with its name for FILE.${stop}`
        : `The newest copy that is whole was made on ${sayDay(copy.day, today, locale)}. To put it back, type this on the computer that runs the service.${stop}`,
    ],
    command,
    after: [
      copy === null
        ? 'Without any backup, keep the damaged file: somebody may still get entries out of it.'
        : 'What was entered since then has to be entered again. The damaged file is kept in the data folder.',
      ...(standsStill ? ['Once that is done, the pages come back by themselves.'] : []),
      'If this happens again, the disk or the memory card may be wearing out.',
    ],
  };
}

/** The same for one who is not on the computer that runs the service, and may be anybody: no path stands in it.
 *  Source: own design. */
export function sayDamageElsewhere({ heading, lead }: DamageWords): Pick<DamageWords, 'heading' | 'lead' | 'before'> {
  return {
    heading,
    lead,
    before: [
      'What to type is said in the message that went out, in the log of the service, and on this page when it is opened on the computer that runs the service.',
      'Keep what you wanted to enter: write it on paper, or leave it waiting on this device.',
    ],
  };
}

/** The same on one line, for the top of a page that still works.
 *  Source: own design. */
export function sayDamageShort({ lead, before, command }: DamageWords): string {
  return [lead, ...before, command].join(' ');
}

/** The same as a letter.
 *  @param household  its name
 *  Source: own design. */
export function writeDamageLetter(said: DamageWords, household: string): Letter {
  return {
    subject: `${oneLine(household)}: the data file is damaged`,
    lead: said.lead,
    blocks: [
      ...said.before.map((text) => ({ kind: 'text' as const, text })),
      { kind: 'typed', text: said.command },
      ...said.after.map((text) => ({ kind: 'text' as const, text })),
    ],
  };
}

/** A word that a POSIX shell takes as it stands. Source: POSIX Shell Command Language, 2.2.2 Single-Quotes. */
function shellWord(text: string): string {
  return /^[\w@%+=:,./-]+$/.test(text) ? text : `'${text.replaceAll("'", `'\\''`)}'`;
}
