import type { Caution } from '../cautions.js';

/** One piece of a letter, in reading order. Plain text only: the way out makes HTML of it, and escapes it. */
export type LetterBlock =
  | { readonly kind: 'heading'; readonly text: string }
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'list'; readonly items: readonly string[] }
  | { readonly kind: 'numbered'; readonly items: readonly string[] }
  /** To be typed or pasted as it stands: never broken into lines. */
  | { readonly kind: 'typed'; readonly text: string }
  | { readonly kind: 'caution'; readonly caution: Caution }
  /** `main` links are the ones to tap: drawn as a button and as a visible address. */
  | { readonly kind: 'link'; readonly label: string; readonly url: string; readonly main: boolean };

/** A drawing that a way out may show; the words say all of it too. */
export interface LetterPicture {
  /** Complete SVG with its own colours on an opaque ground, so that it is readable on any page. */
  readonly svg: string;
  /** What it shows, in sentences. */
  readonly alt: string;
}

/** One message in words, the same for every way out. */
export interface Letter {
  /** Useful in a list: machine, job, day. One line, no line breaks. */
  readonly subject: string;
  /** The sentence that says it all. */
  readonly lead: string;
  readonly blocks: readonly LetterBlock[];
  /** Absent where there is nothing to draw. */
  readonly picture?: LetterPicture;
}
