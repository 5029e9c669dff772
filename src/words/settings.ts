import type { Letter } from '../domain/results/letter.js';
import { oneLine } from './sentence.js';
import { type StillWords, sayStandsStill, shellWord, writeStillLetter } from './still.js';

/** Why a service that ran here before cannot start with its settings, and what to do.
 *  @param home   the home folder
 *  @param fault  what is wrong there: place, what was found, what would be right
 *  Source: own design. */
export function saySettingsFault(home: string, fault: string): StillWords {
  return {
    heading: 'The settings have an error.',
    lead: sayStandsStill('The settings have an error, and those from before cannot be used either', 'that is mended'),
    before: [oneLine(fault), 'All that was entered is left as it is. To see every error with its line, type:'],
    command: `shedbell --home ${shellWord(home)} check`,
    after: ['Once they are right, the service goes on by itself.'],
  };
}

/** The same as a letter.
 *  @param household  its name
 *  Source: own design. */
export function writeSettingsLetter(said: StillWords, household: string): Letter {
  return writeStillLetter(said, 'the service stands still', household);
}
