/** The wall clock, handed in wherever time is needed, so that tests and rehearsals drive it. */
export interface Clock {
  /** Milliseconds since 1970-01-01T00:00:00Z. */
  nowMs(): number;
}

/** One line per event with fields; pure folders do not log, they return what is worth saying. */
export interface Log {
  /** A person must act. */
  error(fields: Readonly<Record<string, unknown>>, event: string): void;
  /** The service copes. */
  warn(fields: Readonly<Record<string, unknown>>, event: string): void;
  /** What an owner would ask about. */
  info(fields: Readonly<Record<string, unknown>>, event: string): void;
  debug(fields: Readonly<Record<string, unknown>>, event: string): void;
}

/** Uniform random numbers in [0, 1), handed in so that a seed decides them. */
export type Random = () => number;
