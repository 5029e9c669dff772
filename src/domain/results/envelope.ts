import type { Person } from '../household.js';
import type { Letter } from './letter.js';

/** A letter on its way to one person. */
export interface Envelope {
  readonly id: string;
  /** RFC 5322 Message-ID with angle brackets, fixed before the first attempt. */
  readonly messageId: string;
  readonly to: Person;
  readonly letter: Letter;
  readonly writtenAtMs: number;
  /** Message-ID of the letter that this one follows. */
  readonly inReplyTo: string | null;
  readonly references: readonly string[];
  /** The same for all letters to a person about one matter, of which a later one may take the place of an earlier one; absent or null: it
   *  stands for itself. */
  readonly thread?: string | null;
  /** https address that ends the mail to this person by one POST; absent: there is none. */
  readonly endsMailUrl?: string;
}

/** How an attempt went. */
export type Delivery =
  | { readonly kind: 'delivered'; readonly detail: string }
  /** For good: shown to a person, never tried again by itself. */
  | { readonly kind: 'refused'; readonly reason: string }
  | { readonly kind: 'try-later'; readonly reason: string; readonly afterMs: number | null };
