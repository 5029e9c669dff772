import { refusal } from './errors.js';

const longestText = 4000;

/** A person's words, without control characters and outer blanks; null where nothing is left.
 *  @throws Fault text-too-long */
export function plainText(text: string | null): string | null {
  if (text === null) return null;
  // Line breaks and tabs stay, all other control characters go.
  const plain = [...text]
    .filter((c) => c === '\n' || c === '\t' || !/\p{Cc}/u.test(c))
    .join('')
    .trim();
  if (plain.length > longestText) {
    throw refusal('text-too-long', 'This text is too long to keep', {
      found: `${plain.length} characters`,
      remedy: `Write at most ${longestText}.`,
    });
  }
  return plain === '' ? null : plain;
}
