import type { ChannelKind } from '../domain/household.js';
import type { Delivery, Envelope } from '../domain/results/envelope.js';

/** A way out. `deliver` tries once, never throws for what the outside does, and keeps to these promises:
 *  - `delivered` only once the other side holds the letter;
 *  - the same envelope twice leaves the same letter, under the same Message-ID;
 *  - no secret stands in `detail` or `reason`. */
export interface Channel {
  readonly kind: ChannelKind;
  deliver(envelope: Envelope): Promise<Delivery>;
}
