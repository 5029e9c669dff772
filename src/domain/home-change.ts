import type { Fault } from './fault.js';

/** What a YAML file can hold. */
export type Plain = string | number | boolean | null | readonly Plain[] | { readonly [key: string]: Plain };

/** One value of a file, by its path; `undefined` takes the key out, and a map that is left empty with it. */
export interface ValueChange {
  readonly path: readonly (string | number)[];
  readonly value: Plain | undefined;
}

/** What a page wants of one file of the home folder. */
export type FileChange =
  | {
      readonly kind: 'change';
      /** From the home folder, such as machines/paddock-mower.yaml. */
      readonly file: string;
      /** Mark of the text that the page was made from: another text is not changed. */
      readonly base: string;
      readonly values: readonly ValueChange[];
    }
  | {
      readonly kind: 'new';
      readonly file: string;
      /** What the file begins with; the values follow, a line each. */
      readonly text: string;
      readonly values: readonly ValueChange[];
    };

/** A fault of a file, and the path of the value that it is about: empty for the whole file. */
export interface WrongValue {
  readonly fault: Fault;
  readonly path: ValueChange['path'];
}

/** A change worked out: what the file would hold, judged as `check` would judge it. */
export type Proposal =
  | {
      readonly kind: 'proposal';
      readonly file: string;
      /** Empty where the file is new. */
      readonly before: string;
      readonly after: string;
      /** With any of these nothing is written. */
      readonly faults: readonly WrongValue[];
    }
  | { readonly kind: 'refused'; readonly fault: Fault };

/** A file of the home folder as it stands. */
export interface HomeFile {
  readonly text: string;
  /** Says whether two texts are the same. */
  readonly mark: string;
  /** As plain values; null where the text is no YAML map. */
  readonly values: { readonly [key: string]: Plain } | null;
}
