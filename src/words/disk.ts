import type { Letter } from '../domain/results/letter.js';
import { oneLine } from './sentence.js';

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
