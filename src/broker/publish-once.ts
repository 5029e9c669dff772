import { randomUUID } from 'node:crypto';
import mqtt from 'mqtt';
import type { MqttSettings } from '../domain/household.js';
import { plainAddress, sayConnectionError } from './plain-words.js';

/** Publishes one message as a guest, with QoS 1, and ends the connection: for what is said a few times a week and must be known to
 *  have arrived. The service's own connection is not touched.
 *  @param how      retained: the broker shows it to whoever connects later
 *  @param limitMs  for all of it: connecting, the broker's acknowledgement
 *  @returns null once the broker has it; else why not, in plain words */
export async function publishOnce(
  settings: MqttSettings,
  topic: string,
  payload: string,
  limitMs: number,
  how: { readonly retain: boolean } = { retain: false },
): Promise<string | null> {
  const address = plainAddress(settings.url);
  const client = mqtt.connect(settings.url, {
    protocolVersion: settings.protocol === '5' ? 5 : 4,
    clientId: `shedbell-notice-${randomUUID().slice(0, 8)}`,
    clean: true,
    reconnectPeriod: 0,
    connectTimeout: limitMs,
    ...(settings.user === undefined ? {} : { username: settings.user }),
    ...(settings.password === undefined ? {} : { password: settings.password }),
    ...(settings.caPem === undefined ? {} : { ca: [settings.caPem] }),
  });
  let timer: NodeJS.Timeout | undefined;
  try {
    await new Promise<void>((done, fail) => {
      timer = setTimeout(() => fail(new Error('it did not answer in time')), limitMs);
      client.once('error', fail);
      client.once('close', () => fail(new Error('it ended the connection')));
      client.once('connect', () =>
        client.publish(topic, payload, { qos: 1, retain: how.retain }, (error) =>
          error === undefined || error === null ? done() : fail(error),
        ),
      );
    });
    return null;
  } catch (failure) {
    return sayConnectionError(failure, address);
  } finally {
    clearTimeout(timer);
    client.on('error', () => undefined);
    await client.endAsync(true).catch(() => undefined);
  }
}
