import { type Caution, dangers, type SignalWord } from './caution-list.js';
import { Fault } from './fault.js';

export type { Caution, SignalWord };

/** An id of the library below, or a caution written out in the plan. */
export type CautionRef = string | Omit<Caution, 'id' | 'short'>;

/** Worst first. Source: ANSI Z535.4-2007 sections 4.14.1 to 4.14.4. */
export const signalWords: readonly SignalWord[] = ['DANGER', 'WARNING', 'CAUTION', 'NOTICE'];

/** Words of a written-out hazard that make its short name. */
const wordsOfShort = 5;

/** The cautions that plans refer to by id. The choice of signal word is our judgement by the definitions above. */
export const cautionLibrary: Readonly<Record<string, Caution>> = Object.freeze(
  Object.fromEntries(dangers.map((caution) => [caution.id, caution])),
);

/** The caution that a plan refers to.
 *  @param ref  an id of the library, or a caution written out (id and short name are then made from its hazard)
 *  @throws     Fault caution-unknown, with the ids that are known */
export function resolveCaution(ref: CautionRef): Caution {
  if (typeof ref !== 'string') {
    const id = ref.hazard
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '')
      .slice(0, 40);
    const words = ref.hazard.replace(/\.$/, '').split(/\s+/);
    const short = `${words.slice(0, wordsOfShort).join(' ')}${words.length > wordsOfShort ? ' …' : ''}`;
    return { id: `own-${id}`, short, ...ref };
  }
  const known = Object.hasOwn(cautionLibrary, ref) ? cautionLibrary[ref] : undefined;
  if (known === undefined) {
    throw new Fault({
      code: 'caution-unknown',
      message: 'The caution library does not have this caution',
      found: JSON.stringify(ref.slice(0, 60)),
      remedy: `Known: ${dangers.map(({ id }) => id).join(', ')}. Or write it out with signal, hazard, avoid and source.`,
    });
  }
  return known;
}
