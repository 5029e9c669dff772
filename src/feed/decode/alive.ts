/** Words that say that a sensor is gone; "0" is the contract, the others are what last wills usually say (common practice, no source). */
const goneWords: ReadonlySet<string> = new Set([
  '',
  '0',
  'false',
  'no',
  'off',
  'offline',
  'dead',
  'down',
  'gone',
  'lost',
  'disconnected',
]);

/** What the alive topic says about the sensor.
 *  @returns  `gone` for "0", an empty message and the usual last wills; `alive` for all else, also for what cannot be read */
export function decodeAlive(payload: Uint8Array): 'alive' | 'gone' {
  if (payload.byteLength > 64) return 'alive';
  return goneWords.has(new TextDecoder().decode(payload).trim().toLowerCase()) ? 'gone' : 'alive';
}
