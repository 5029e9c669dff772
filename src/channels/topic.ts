import { plainAddress } from '../broker/plain-words.js';
import { formatInstant } from '../domain/day.js';
import type { MqttSettings } from '../domain/household.js';
import type { Envelope } from '../domain/results/envelope.js';
import type { Channel } from './channel.js';
import { pushTopic } from './push-payload.js';

/** Where notices go; not retained, since what was said yesterday is not said anew to whoever connects. */
export const noticeTopic = 'shedbell/notice';
const answerMs = 20_000;

/** The way out to other programs in the house: one JSON object a message on `shedbell/notice`, QoS 1.
 *  @param limitMs  for one attempt
 *  Source: MQTT 3.1.1 section 4.3.2 (delivered at least once: the same `id` may come twice). */
export function topicChannel(settings: MqttSettings, limitMs: number = answerMs): Channel {
  return {
    kind: 'topic',
    async deliver(envelope) {
      // Loaded where something is sent, so that a command which sends nothing need not read the client from the card.
      const { publishOnce } = await import('../broker/publish-once.js');
      const why = await publishOnce(settings, noticeTopic, noticePayload(envelope), limitMs);
      if (why !== null) return { kind: 'try-later', reason: why, afterMs: null };
      return { kind: 'delivered', detail: `${plainAddress(settings.url)} took it on ${noticeTopic}` };
    },
  };
}

/** Every key is always there. No link: whoever reads along on the broker must not be able to confirm anything. */
function noticePayload(envelope: Envelope): string {
  return JSON.stringify({
    id: envelope.id,
    at: formatInstant(envelope.writtenAtMs),
    to: envelope.to.id,
    title: envelope.letter.subject,
    text: envelope.letter.lead,
    thread: pushTopic(envelope),
  });
}
