import type { Letter } from '../../src/domain/results/letter.js';
import type { Notice } from '../../src/domain/results/notice.js';
import type { Visit } from '../../src/domain/results/visit.js';
import { type LetterContext, writeLetter } from '../../src/words/letter.js';
import { context, notice, outlook, visit } from './letter-scene.js';

export const write = (notices: readonly Notice[], where: LetterContext = context()) =>
  writeLetter({ to: 'marta', notices }, where);
export const withVisit = (more: Partial<Visit>) =>
  context({ outlook: { ...outlook, visits: [{ ...visit, ...more }] }, sheets: new Map() });
export const asking = (more: Partial<Notice> = {}) =>
  notice('reading', { visit: null, tasks: [], proposedDay: null, ...more });

export function textsOf(letter: Letter): readonly string[] {
  return letter.blocks.flatMap((block) => {
    if (block.kind === 'heading' || block.kind === 'text' || block.kind === 'typed') return [block.text];
    if (block.kind === 'caution') return [`${block.caution.signal} ${block.caution.hazard} ${block.caution.avoid}`];
    if (block.kind === 'link') return [block.label, block.url];
    return block.items;
  });
}

export const whole = (letter: Letter) => [letter.subject, letter.lead, ...textsOf(letter)].join('\n');
export const below = (letter: Letter, heading: string) => {
  const at = letter.blocks.findIndex((block) => block.kind === 'heading' && block.text.startsWith(heading));
  const block = letter.blocks[at + 1];
  return at >= 0 && (block?.kind === 'list' || block?.kind === 'numbered') ? block.items : [];
};
export const links = (letter: Letter) => letter.blocks.flatMap((block) => (block.kind === 'link' ? [block] : []));
