/** What a measurement is held against. Quantities are text with a unit ("10 mm", "1 5/16 in", "17 psi"). */
export type Specification =
  /** `belowColdest` and `coldest` as in `atMost`: the warm end follows the cold, never past the cold end. `wanted` is where it would
   *  stand, filled in where that lies past the cold end. */
  | {
      readonly kind: 'range';
      readonly min: string;
      readonly max: string;
      readonly belowColdest?: string;
      readonly coldest?: string;
      readonly wanted?: string;
    }
  | { readonly kind: 'atLeast'; readonly min: string }
  /** `belowColdest`: the limit lies so far below the household's coldest night, as a temperature difference, and `max` stands in while
   *  that night is not known. `coldest` is that night, filled in with the limit by coldest-limit, never read from a plan. */
  | { readonly kind: 'atMost'; readonly max: string; readonly belowColdest?: string; readonly coldest?: string }
  | { readonly kind: 'nominal'; readonly nominal: string; readonly tolerance: string }
  /** First value minus second. */
  | {
      readonly kind: 'difference';
      readonly min?: string;
      readonly max?: string;
      readonly first?: string;
      readonly second?: string;
    }
  /** Interpolated between points [reading, value]; `unit` is the value's. */
  | {
      readonly kind: 'lookup';
      readonly points: readonly (readonly [string, number])[];
      readonly unit: string;
      readonly min?: number;
      readonly max?: number;
    }
  /** A torque, pressure or pattern to set: no verdict, `turned: yes/no` is the finding. */
  | { readonly kind: 'setTo'; readonly value: string; readonly pattern?: string }
  /** Adjust to a value, then a further step, then check against the range; needs the value as left. */
  | {
      readonly kind: 'adjustThen';
      readonly adjustTo: string;
      readonly then: string;
      readonly min: string;
      readonly max: string;
    }
  /** Where a fluid stands between two marks. */
  | { readonly kind: 'level'; readonly marks: string; readonly looksWrong?: string }
  /** At each place: sound or not, dry, damp or dripping. */
  | { readonly kind: 'look'; readonly sound: string; readonly normal?: string }
  /** Passed or failed, with a longest time where given; `stopUse`: a failure means do not use until mended. */
  | { readonly kind: 'test'; readonly passes: string; readonly longest?: string; readonly stopUse?: boolean };

/** What a person may enter for a `level`; an amount topped up may follow after a comma ("below the lower mark, 0.2 L"). */
export const levelEntries = ['between the marks', 'below the lower mark', 'above the upper mark'] as const;

/** What a person may enter for a `look`, at each place. */
export const lookEntries = ['sound', 'dry', 'damp', 'dripping', 'not sound'] as const;

/** What is offered for a look: how wet a place is only where leaks are looked for, which its words `dry` tell.
 *  @returns  some of `lookEntries`; all of them are understood wherever they are entered
 *  Source: common practice, no source. */
export function lookEntriesOf(specification: Extract<Specification, { readonly kind: 'look' }>): readonly string[] {
  const forLeaks = /\bdry\b/i.test(specification.sound);
  return lookEntries.filter((entry) => (forLeaks ? entry !== 'sound' : entry === 'sound' || entry === 'not sound'));
}

/** What a person may enter for a `test`; with a longest time, the time taken instead. */
export const testEntries = ['passed', 'failed'] as const;

/** What a person may enter for a `setTo`: whether it still turned before the torque or pressure was reached. */
export const setToEntries = ['turned', 'did not turn'] as const;
