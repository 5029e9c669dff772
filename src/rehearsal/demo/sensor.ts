import { connect } from 'mqtt';
import { minuteMs } from '../../domain/day.js';
import { sensorPayload } from './payload.js';

/** Seconds between two messages of the simulated sensor, as a small battery sensor would send while the engine runs. */
const everySeconds = 10;
/** The engine runs this long, then rests this long, for as long as the demo is open. */
const runMs = 25 * minuteMs;
const restMs = 35 * minuteMs;

/** A simulated run-time sensor: a counter of seconds on an MQTT topic, in real time.
 *  @param startSeconds  what its counter shows when it begins
 *  @returns what stops it */
export function startDemoSensor(options: {
  readonly url: string;
  readonly topic: string;
  readonly nowMs: () => number;
  readonly startSeconds: number;
}): { stop(): Promise<void> } {
  const client = connect(options.url, { clientId: 'demo-run-sensor', protocolVersion: 4, reconnectPeriod: 2000 });
  client.on('error', () => undefined);
  const beganMs = options.nowMs();
  const timer = setInterval(() => {
    if (!client.connected) return;
    const sinceMs = options.nowMs() - beganMs;
    const cycleMs = runMs + restMs;
    const ranMs = Math.floor(sinceMs / cycleMs) * runMs + Math.min(runMs, sinceMs % cycleMs);
    client.publish(options.topic, sensorPayload(options.startSeconds + Math.floor(ranMs / 1000)), { qos: 1 });
  }, everySeconds * 1000);
  return {
    async stop() {
      clearInterval(timer);
      await client.endAsync(true);
    },
  };
}
