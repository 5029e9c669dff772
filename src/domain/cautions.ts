/** Signal words as ANSI Z535 defines them. */
export type SignalWord = 'DANGER' | 'WARNING' | 'CAUTION' | 'NOTICE';

/** A hazard, what it does, how to avoid it, and where that is said. */
export interface Caution {
  readonly id: string;
  readonly signal: SignalWord;
  readonly hazard: string;
  readonly avoid: string;
  readonly source: string;
}

/** An id of the library below, or a caution written out in the plan. */
export type CautionRef = string | Omit<Caution, 'id'>;
