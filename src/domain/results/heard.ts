/** What a payload of a feed was taken for. */
export type TakenFor =
  | { readonly kind: 'running'; readonly isRunning: boolean }
  | { readonly kind: 'run-seconds'; readonly seconds: number }
  | { readonly kind: 'meter-hours'; readonly hours: number }
  | { readonly kind: 'voltage'; readonly volts: number }
  /** On the alive topic: the sensor is there, or says (or its last will does) that it is gone. */
  | { readonly kind: 'alive' }
  | { readonly kind: 'gone' };

/** What a message did to the count. */
export interface HeardEffect {
  /** The first of a counter: counting starts from it. */
  readonly isBaseline: boolean;
  /** A counter that began again from zero: all that it shows is counted. */
  readonly isRestart: boolean;
  /** Whether it changed anything: a repeat or an older value does not. */
  readonly isNews: boolean;
  /** Run time that it added, seconds, >= 0. */
  readonly countedSeconds: number;
  /** All that was counted with it, seconds. */
  readonly totalSeconds: number;
  /** Whether the engine runs now, as the feed sees it; null for kinds that cannot tell. */
  readonly isRunning: boolean | null;
  /** Whether what comes says otherwise than `isRunning`, but not for long enough yet: a voltage that has to hold. */
  readonly isHolding: boolean;
}

/** One message of a feed, for a person who sets the sensor up. */
export interface HeardMessage {
  readonly atMs: number;
  readonly topic: string;
  /** Length of the payload. */
  readonly bytes: number;
  /** The beginning of the payload, readable characters only. */
  readonly sample: string;
  /** The last known state that the broker keeps, no fresh event. */
  readonly isRetained: boolean;
  /** When it happened by the device's own time, where that is configured and can be read. */
  readonly deviceAtMs: number | null;
  /** The device's own time cannot be right (never set, or ahead of ours): what came counts from when it came. */
  readonly isDeviceTimeDoubted: boolean;
  readonly taken:
    | { readonly kind: 'taken'; readonly as: TakenFor; readonly effect: HeardEffect }
    | { readonly kind: 'refused'; readonly code: string; readonly reason: string };
}
