import type { Day } from '../day.js';
import type { Spread } from './due.js';

/** One thing to have at hand, added up over the visit's tasks. */
export interface ShoppingItem {
  readonly kind: 'part' | 'fluid';
  readonly name: string;
  /** Pieces, litres, or kilograms. */
  readonly quantity: number;
  readonly unit: 'pcs' | 'L' | 'kg';
  /** Owner's part number, or the grade for the cold to come. */
  readonly specification: string | null;
  readonly inStock: number;
  readonly toBuy: number;
  readonly leadDays: number;
  readonly tasks: readonly string[];
}

/** Why a visit's day lies past the likeliest day of its first limit, or weeks before it. */
export type DayCause =
  /** Neither past it nor weeks before it. */
  | { readonly kind: 'on-time' }
  /** What is missing takes so many days to get. */
  | { readonly kind: 'parts'; readonly leadDays: number }
  /** Somebody asked to be told on a later day. */
  | { readonly kind: 'asked' }
  /** The limit was passed, or is reached before anybody works again: the next working day. */
  | { readonly kind: 'next-chance' }
  /** Before the limit, because the working day after this one lies past it. */
  | { readonly kind: 'last-chance' }
  /** The machine rests until shortly before. */
  | { readonly kind: 'rest' }
  /** The machine lies in storage until then. */
  | { readonly kind: 'stored' }
  /** Past the likeliest day, since a little past the limit is still on time, and not likely more. */
  | { readonly kind: 'tolerated' }
  /** To share the visit with another task, whose own day this is. */
  | { readonly kind: 'shared'; readonly task: string }
  /** The hours may come sooner than is likely, and a week later would be too late then. */
  | { readonly kind: 'unsure' }
  /** As `unsure`, but the soonest likely day is near: only the likeliest lies months away. */
  | { readonly kind: 'wide' };

/** What one visit does once for several tasks, so that it need not be done again. */
export type SharedAccess =
  | { readonly kind: 'cover' | 'fitting'; readonly name: string }
  | { readonly kind: 'raised'; readonly name: 'front' | 'rear' }
  | { readonly kind: 'battery' }
  | { readonly kind: 'warm' };

/** A task done early on purpose: how early, and what that saves. */
export interface EarlyWork {
  readonly task: string;
  /** Hours that its limit is likely to be away still; null where hours do not bring it. */
  readonly hoursEarly: number | null;
  /** Day on which it would be done by itself. */
  readonly ownDay: Day;
  /** What it shares with other tasks of the visit, the longest to do; null: the visit alone. */
  readonly saves: SharedAccess | null;
}

/** A session of work on one machine, proposed or announced. */
export interface Visit {
  readonly id: string;
  readonly machine: string;
  /** In working order as far as it is known. */
  readonly tasks: readonly string[];
  /** Task that makes the visit due. */
  readonly leadTask: string;
  /** Tasks done early on purpose, to share this visit. */
  readonly pulledForward: readonly string[];
  /** Why each of those is done early; nothing is said of one that is missing here. */
  readonly early: readonly EarlyWork[];
  /** Working day proposed. */
  readonly day: Day;
  /** Why it is not just before its first limit. */
  readonly cause: DayCause;
  /** Days on which the first of its limits is likely to be reached. */
  readonly due: Spread<Day>;
  readonly minutes: number;
  readonly shopping: readonly ShoppingItem[];
  /** What only a bad finding would need: nothing of it is bought before. Absent where nothing is. */
  readonly perhaps?: readonly ShoppingItem[];
  /** Last day to order what is missing, so that it is here on the day; null where nothing is missing, and before the first look
   *  at a machine of unknown past has begun: nobody knows yet what it needs. */
  readonly buyBy: Day | null;
  /** Day that the newest word on buying named for what is still missing, where the visit has come forward since: whoever orders by that
   *  word has it too late. Absent where it has not. */
  readonly forwardFrom?: Day;
  /** 0 until first announced. */
  readonly revision: number;
  readonly announced: boolean;
  readonly kind: 'service' | 'getting-to-know';
  /** "Ask me on": nothing is said before this day. */
  readonly askOn: Day | null;
  readonly by: 'owner' | 'dealer';
  /** Chance that a limit and its tolerance are passed before the proposed day ends. */
  readonly pLate: number;
}
