import type { Letter, LetterBlock } from '../domain/results/letter.js';
import { oneLine } from '../words/sentence.js';

/** Columns of a plain letter; an address and a command are never broken. Source: RFC 5322 section 2.1.1 wants at most 78. */
const columns = 72;

/** A letter as plain text: the lead first, a blank line between blocks, every address on a line of its own.
 *  @returns ends with a line feed; lines of at most 72 characters, except addresses, commands and words longer than that */
export function writeLetterText(letter: Letter): string {
  return `${[wrap(oneLine(letter.lead), ''), ...letter.blocks.map(writeBlock)].filter((text) => text !== '').join('\n\n')}\n`;
}

function writeBlock(block: LetterBlock): string {
  switch (block.kind) {
    case 'heading': {
      const heading = wrap(oneLine(block.text), '');
      const longest = Math.max(...heading.split('\n').map((line) => [...line].length));
      return `${heading}\n${'-'.repeat(longest)}`;
    }
    case 'text':
      return wrap(oneLine(block.text), '');
    case 'list':
      return block.items.map((item) => wrap(oneLine(item), '- ')).join('\n');
    case 'numbered': {
      const width = String(block.items.length).length;
      return block.items.map((item, at) => wrap(oneLine(item), `${String(at + 1).padStart(width)}. `)).join('\n');
    }
    case 'typed':
      return `    ${block.text}`;
    case 'caution': {
      const { signal, hazard, avoid } = block.caution;
      return [
        signal,
        ...wrap(oneLine(hazard), '', columns - 2).split('\n'),
        ...wrap(oneLine(avoid), '', columns - 2).split('\n'),
      ]
        .map((line) => `| ${line}`)
        .join('\n');
    }
    case 'link':
      return `${wrap(oneLine(block.label), '')}:\n${oneLine(block.url)}`;
  }
}

/** Lines of at most `width` characters; the first starts with `lead`, the rest are indented below it. */
function wrap(text: string, lead: string, width = columns): string {
  const indent = ' '.repeat(lead.length);
  const lines: string[] = [];
  let line = lead;
  let isEmpty = true;
  for (const word of text.split(' ')) {
    if (!isEmpty && [...line].length + 1 + [...word].length > width) {
      lines.push(line);
      line = indent;
      isEmpty = true;
    }
    line += isEmpty ? word : ` ${word}`;
    isEmpty = false;
  }
  lines.push(line);
  return lines.join('\n').trimEnd();
}
