import { type Day, dayOf, type Zone } from '../domain/day.js';
import type { HelpQuestion } from '../domain/did-it-help.js';
import type { Helped, HelpedAnswer, Noticed, ServiceRecord } from '../domain/facts.js';
import { sayDate } from './dates.js';
import { oneLine, shortened } from './sentence.js';

/** Characters of what was noticed within a sentence. Common practice, no source. */
const mostOfText = 160;

/** The question: `“The lift hums” was seen to on 3 March. Did it help?`
 *  @param locale  BCP 47, says the order of day and month
 *  Source: common practice, no source. */
export function sayHelpQuestion({ noticed, seenToAtMs }: HelpQuestion, today: Day, zone: Zone, locale: string): string {
  const day = sayDate(dayOf(seenToAtMs, zone), today, locale);
  return `“${oneLine(shortened(noticed.text, mostOfText))}” was seen to (${day}). Did it help?`;
}

/** What was said of it, as a sentence.
 *  Source: common practice, no source. */
export function sayHelpedAnswer(answer: HelpedAnswer): string {
  switch (answer) {
    case 'yes':
      return 'It helped.';
    case 'no':
      return 'It did not help.';
    case 'cannot-tell':
      return 'Nobody could tell yet whether it helped.';
  }
}

/** How something noticed stands, in sentences, oldest first: `Seen to on 3 March. It did not help. It stands on the next bench sheet.`
 *  @param locale  BCP 47, says the order of day and month
 *  Source: common practice, no source. */
export function sayNoticedSince(noticed: Noticed, today: Day, zone: Zone, locale: string): string {
  const on = (atMs: number) => sayDate(dayOf(atMs, zone), today, locale);
  const said = noticed.helped.map(
    ({ seenToAtMs, answer }: Helped) => `Seen to: ${on(seenToAtMs)}. ${sayHelpedAnswer(answer)}`,
  );
  const { seenTo } = noticed;
  const isSaid = noticed.helped.some(({ seenToAtMs }) => seenToAtMs === seenTo?.atMs);
  if (seenTo === null) said.push('It stands on the next bench sheet.');
  else if (!isSaid) said.push(`Seen to: ${on(seenTo.atMs)}.`);
  return said.join(' ');
}

/** What a record saw to of what was noticed, and whether it helped, a sentence each: `Saw to “the lift hums”. It helped.`
 *  Source: common practice, no source. */
export function sayWhatItSawTo({ id }: Pick<ServiceRecord, 'id'>, noticed: readonly Noticed[]): readonly string[] {
  return noticed.flatMap((one) => {
    const said = one.helped.findLast(({ record }) => record === id);
    if (said === undefined && one.seenTo?.record !== id) return [];
    const saw = `Saw to “${oneLine(shortened(one.text, mostOfText))}”.`;
    return [said === undefined ? saw : `${saw} ${sayHelpedAnswer(said.answer)}`];
  });
}
