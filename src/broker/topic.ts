import { Fault } from '../domain/fault.js';
import { brokerFaults } from './errors.js';

/** A topic of one feed: without wildcards or control characters, 1 to 65,535 bytes.
 *  @returns what is wrong with it in words, or null where nothing is
 *  Source: MQTT 3.1.1 sections 1.5.3 (length, control characters) and 4.7.1 (wildcards). */
function whyTopicUnfit(topic: string): string | null {
  if (topic === '') return 'the topic is empty';
  if (Buffer.byteLength(topic) > 65_535) return 'the topic is longer than 65,535 bytes';
  if (/[+#]/.test(topic)) return 'a topic names one sensor, so + and # cannot stand in it';
  for (const character of topic) {
    const point = character.codePointAt(0) ?? 0;
    if (point < 32 || (point >= 127 && point < 160)) return 'the topic has a control character in it';
  }
  return null;
}

/** @throws Fault topic-unfit */
export function checkTopic(topic: string): void {
  const why = whyTopicUnfit(topic);
  if (why === null) return;
  throw new Fault({
    code: brokerFaults.topicUnfit,
    message: `This topic cannot be used: ${why}`,
    found: JSON.stringify(topic.slice(0, 80)),
    remedy: 'Write the full topic of one sensor, such as barn/tractor/run.',
    retry: 'after-fix',
  });
}
