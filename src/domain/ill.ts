/** One way in which the service itself is not well. */
export interface Ill {
  /** Names the trouble while it lasts, whatever its sentence says by then: `mail`, `home-folder`, `broker`, `sensor bank-tractor`. */
  readonly key: string;
  /** Plain words: what is wrong and what to do. */
  readonly sentence: string;
  /** Since when it is known, UTC milliseconds. */
  readonly sinceMs: number;
}

/** The key of the trouble that mail itself does not get through: telling of it must go another way. */
export const mailIll = 'mail';
