/** Whether trying the same thing again can help: never, after some time, or after a person mended what is named. */
export type Retry = 'no' | 'later' | 'after-fix';

/** What an owner needs to know about one fault: where, what was found there, and what would be right. */
export interface FaultDetails {
  /** Stable code in kebab-case, listed in the `errors.ts` of the folder that raises it; nobody matches on wording. */
  readonly code: string;
  /** Plain words, one sentence, no stack. */
  readonly message: string;
  /** `file:line:column`, a form field, a topic, or a command's argument. */
  readonly place?: string | undefined;
  /** The value found, shortened for showing. */
  readonly found?: string | undefined;
  /** What would be right, in words a person can act on. */
  readonly remedy?: string | undefined;
  readonly retry?: Retry | undefined;
  readonly cause?: unknown;
}

/** The one error class of the project: a broken promise or a failing outside, never what happens in normal life. */
export class Fault extends Error {
  readonly code: string;
  readonly place: string | undefined;
  readonly found: string | undefined;
  readonly remedy: string | undefined;
  readonly retry: Retry;

  constructor(details: FaultDetails) {
    super(details.message, details.cause === undefined ? undefined : { cause: details.cause });
    this.name = 'Fault';
    this.code = details.code;
    this.place = details.place;
    this.found = details.found;
    this.remedy = details.remedy;
    this.retry = details.retry ?? 'no';
  }

  /** One line for a terminal or a page: `place: message (found …). remedy`. */
  get line(): string {
    const place = this.place === undefined ? '' : `${this.place}: `;
    const found = this.found === undefined ? '' : ` (found ${this.found})`;
    const stop = /[.?!]$/.test(this.message) ? '' : '.';
    const remedy = this.remedy === undefined ? '' : ` ${this.remedy}`;
    return `${place}${this.message}${found}${stop}${remedy}`;
  }
}
