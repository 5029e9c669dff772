/** Why a message changed nothing, or could not be kept: the codes of this folder. All but the last are values, not exceptions. */
export const refusalCodes = {
  /** The payload is larger than any sensor needs. */
  tooLarge: 'payload-too-large',
  /** The payload is empty, null, text, not JSON, nested too deep, or not of the kind that is configured. */
  unreadable: 'payload-unreadable',
  /** Nothing stands where the pointer points. */
  nothingThere: 'nothing-at-pointer',
  /** A number below zero, or beyond anything an engine reaches. */
  outOfRange: 'value-out-of-range',
  /** The device's own time is missing or unreadable. */
  timeUnreadable: 'device-time-unreadable',
  /** More run time than time has passed. */
  fasterThanTime: 'faster-than-time',
  /** A meter that stands below where it stood. */
  belowLast: 'meter-below-last',
} as const;
export type RefusalCode = (typeof refusalCodes)[keyof typeof refusalCodes];

/** Why a message was refused, in plain words. */
export interface Refused {
  readonly kind: 'refused';
  readonly code: RefusalCode;
  readonly reason: string;
}

/** A refusal of one message.
 *  @param reason  for the log and the page: what came and what would be right */
export function refuse(code: RefusalCode, reason: string): Refused {
  return { kind: 'refused', code, reason };
}
