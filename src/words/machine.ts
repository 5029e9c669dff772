import type { Machine } from '../domain/machine.js';
import { capital, oneLine, small } from './sentence.js';

/** What such machines are called in the trade, so that "Generator" is a thing and "Rosie" is a name. Common practice, no source. */
const kinds =
  /^(tractor|loader|mower|generator|tiller|cultivator|rotavator|chainsaw|saw|trimmer|strimmer|brushcutter|blower|snowblower|splitter|chipper|shredder|pump|washer|sweeper|sprayer|digger|excavator|dumper|quad|cutter|compressor|engine|plough|plow|scarifier|aerator|machine)s?$/i;

/** The machine within a sentence: `the hill tractor`, `Rosie`, `Anna's mower`. A name in sentence case gets its article and
 *  a small letter; what reads as a proper name stays as its owner wrote it.
 *  Source: common practice, no source. */
export function sayMachine(machine: Pick<Machine, 'name'>): string {
  const name = oneLine(machine.name);
  const words = name.split(' ');
  const first = words[0] ?? '';
  if (/^the$/i.test(first)) return `the ${words.slice(1).join(' ')}`;
  if (/^(my|our)$/i.test(first)) return small(name);
  if (/['’]s?$/.test(first)) return name;
  const saysAKind = words.some((word) => kinds.test(word));
  const sentenceCase = words.length > 1 && words.slice(1).every((word) => word === word.toLowerCase());
  if (sentenceCase || (saysAKind && words.length === 1)) return `the ${small(name)}`;
  return saysAKind ? `the ${name}` : name;
}

/** The same at the start of a sentence: `The hill tractor`.
 *  Source: common practice, no source. */
export function sayMachineFirst(machine: Pick<Machine, 'name'>): string {
  return capital(sayMachine(machine));
}
