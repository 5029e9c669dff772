import type { Letter, LetterBlock } from '../domain/results/letter.js';
import type { Message, Notice } from '../domain/results/notice.js';
import { joinAnd, sayNumber } from './counts.js';
import { sayHelpQuestion } from './helped.js';
import { type LetterContext, machineOf, type NoticeWords } from './letter-context.js';
import { sayNotice } from './notice.js';
import { mostPressingFirst } from './pressing.js';
import { oneLine, shortened } from './sentence.js';

export type { LetterContext, LinkMaker } from './letter-context.js';

/** Other machines named in a subject, and characters of each name there. Common practice, no source. */
const mostNamed = 2;
const mostOfName = 30;

const manualFirst =
  'Your machine’s own manual comes first, and so do local codes and licensed practice: where they say otherwise, follow them.';
const otherAnswers =
  'Does a day not suit, is something done already, or is it to be left out this time? The links that say “Say so here” take those answers too.';
const hereOnly =
  'These links open only on the computer that runs this service: no address for other devices is set yet (“address” in household.yaml).';

/** All that one person is told at once, as one letter. The lead is the sentence of the most pressing notice; several notices
 *  are told machine by machine, the most pressing machine first, each further thing about a machine under its own subject. A visit whose work is announced swallows its own parts
 *  notice, because the work says what is still to buy.
 *  @param message  at least one notice
 *  @returns a subject on one line, no block with an empty text
 *  @throws RangeError for a message without a notice
 *  Source: common practice, no source. */
export function writeLetter(message: Message, context: LetterContext): Letter {
  const told = mostPressingFirst(message.notices).map((notice) => ({ notice, words: sayNotice(notice, context) }));
  const [first, ...rest] = told;
  if (first === undefined) throw new RangeError('a message without a notice has nothing to say');
  const blocks = rest.length === 0 ? [...first.words.blocks] : groupByMachine(told, context);
  blocks.push(...askWhetherHelped(message, context));
  if (blocks.some((block) => block.kind === 'link' && block.label.endsWith('Say so here'))) {
    blocks.push({ kind: 'text', text: otherAnswers });
  }
  if (told.some(({ notice, words }) => words.isWork || notice.kind === 'parts'))
    blocks.push({ kind: 'text', text: manualFirst });
  blocks.push({ kind: 'link', label: 'The months ahead', url: context.links.page(), main: false });
  return {
    subject: `${oneLine(first.words.subject)}${sayMore(first, rest, context)}`,
    lead: rest.length === 0 ? first.words.lead : `${first.words.lead} ${sayRest(rest)}`,
    blocks: context.links.opensElsewhere ? blocks : beforeFirstLink(blocks, { kind: 'text', text: hereOnly }),
  };
}

/** Rides along where a message about the machine goes out anyway, once a person. */
function askWhetherHelped({ to, notices }: Message, { home, outlook }: LetterContext): LetterBlock[] {
  const { zone, locale } = home.household;
  return home.machines
    .filter(({ id }) => notices.some(({ machine }) => machine === id))
    .flatMap((machine) => {
      const toAsk = outlook.machines.find((one) => one.machine === machine.id)?.helpToAsk ?? [];
      return toAsk
        .filter(({ askedOf }) => !askedOf.includes(to))
        .map((question) => ({
          kind: 'text' as const,
          text: `${oneLine(machine.name)}: ${sayHelpQuestion(question, outlook.today, zone, locale)} Say so on its page.`,
        }));
    });
}

interface Told {
  readonly notice: Notice;
  readonly words: NoticeWords;
}

/** `; also Generator`: which other machines a letter tells of, so that none is missed in a list of subjects. */
function sayMore(first: Told, rest: readonly Told[], context: LetterContext): string {
  if (rest.length === 0) return '';
  const others = new Set(rest.map(({ notice }) => nameOf(notice, context)));
  others.delete(nameOf(first.notice, context));
  if (others.size === 0) return `; and ${sayNumber(rest.length)} more`;
  if (others.size > mostNamed) return `; also ${sayNumber(others.size)} more machines`;
  return `; also ${joinAnd([...others].map((name) => shortened(name, mostOfName)))}`;
}

function nameOf(notice: Notice, context: LetterContext): string {
  return oneLine(machineOf(notice, context)?.name ?? context.home.household.name);
}

function sayRest(rest: readonly Told[]): string {
  return rest.length === 1
    ? 'One more thing stands below.'
    : `${sayNumber(rest.length).replace(/^./, (c) => c.toUpperCase())} more things stand below.`;
}

function groupByMachine(told: readonly Told[], context: LetterContext): LetterBlock[] {
  const groups = new Map<string, Told[]>();
  for (const one of told) {
    const name = nameOf(one.notice, context);
    groups.set(name, [...(groups.get(name) ?? []), one]);
  }
  const blocks: LetterBlock[] = [];
  for (const [name, group] of groups) {
    for (const [at, one] of group.entries()) {
      blocks.push({ kind: 'heading', text: at === 0 ? name : one.words.subject });
      if (one !== told[0]) blocks.push({ kind: 'text', text: one.words.lead });
      blocks.push(...one.words.blocks.map(belowMachine));
    }
  }
  return saidOnce(blocks);
}

/** What was said word for word further up is not said again. */
function saidOnce(blocks: readonly LetterBlock[]): LetterBlock[] {
  const said = new Set<string>();
  return blocks.filter((block) => {
    if (block.kind !== 'text' || block.text.endsWith(':')) return true;
    const isNew = !said.has(block.text);
    said.add(block.text);
    return isNew;
  });
}

/** In a letter about several things the headings are the machines; what stands below them steps back to a line. */
function belowMachine(block: LetterBlock): LetterBlock {
  return block.kind === 'heading' ? { kind: 'text', text: `${block.text}:` } : block;
}

function beforeFirstLink(blocks: readonly LetterBlock[], line: LetterBlock): readonly LetterBlock[] {
  const at = blocks.findIndex((block) => block.kind === 'link');
  return [...blocks.slice(0, at), line, ...blocks.slice(at)];
}
