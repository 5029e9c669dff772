/** `too close to call`: nearer to a limit than the instrument can tell. */
export type VerdictKind = 'in' | 'out' | 'too close to call';

/** How a measurement stands against its specification. */
export interface Verdict {
  readonly value: number;
  readonly unit: string;
  readonly verdict: VerdictKind;
  /** A sentence for a person. */
  readonly text: string;
}
