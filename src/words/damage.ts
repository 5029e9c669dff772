import type { Day } from '../domain/day.js';
import type { Letter } from '../domain/results/letter.js';
import { sayDay } from './dates.js';
import { ended, oneLine } from './sentence.js';
import { type StillWords, sayStandsStill, shellWord, writeStillLetter } from './still.js';

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

/** The same in words. */
export interface DamageWords extends StillWords {
  readonly command: string;
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
      ? sayStandsStill('The data file is damaged', 'a copy is put in its place')
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

/** The same on one line, for the top of a page that still works.
 *  Source: own design. */
export function sayDamageShort({ lead, before, command }: DamageWords): string {
  return [lead, ...before, command].join(' ');
}

/** The same as a letter.
 *  @param household  its name
 *  Source: own design. */
export function writeDamageLetter(said: DamageWords, household: string): Letter {
  return writeStillLetter(said, 'the data file is damaged', household);
}
