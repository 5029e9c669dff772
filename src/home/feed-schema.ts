import { z } from 'zod';
import { jsonPointer, mqttTopic, quantityIn, spanMinutes } from './scalars.js';
import { yamlMap } from './yaml-map.js';

/** A word of a payload; `1` and `true` need no quotes. */
const payloadWord = () => z.union([z.string().min(1).max(60), z.number(), z.boolean()]).transform(String);

const common = {
  topic: mqttTopic().describe('Topic of the sensor, in full, such as barn/tractor/run.'),
  pointer: jsonPointer()
    .describe('Where in a JSON payload the value stands, such as /seconds; without it, the payload itself.')
    .exactOptional(),
  timePointer: jsonPointer()
    .describe("Where in the payload the device's own time stands, such as /at.")
    .exactOptional(),
  aliveTopic: mqttTopic()
    .describe("Topic on which the sensor's last will says 0, such as barn/tractor/alive.")
    .exactOptional(),
  scale: z
    .number()
    .refine((factor) => factor !== 0, { error: 'A scale of 0 would make every value the same' })
    .describe('Raw value times this gives seconds, hours or volts.')
    .default(1),
  offset: z.number().describe('Added after scale.').default(0),
  silentAfter: spanMinutes()
    .describe('Silence after which the sensor counts as gone, such as 15 min or 3 days.')
    .prefault('15 min'),
};

/** A run-time sensor on MQTT, one shape for each kind. */
export const feedSchema = z.discriminatedUnion('kind', [
  yamlMap({
    kind: z.literal('running'),
    ...common,
    yes: z.array(payloadWord()).min(1).describe('Words that mean running.').prefault(['1', 'true', 'run', 'on']),
    no: z.array(payloadWord()).min(1).describe('Words that mean stopped.').prefault(['0', 'false', 'stop', 'off']),
  }),
  yamlMap({ kind: z.literal('run-seconds'), ...common }),
  yamlMap({ kind: z.literal('meter-hours'), ...common }),
  yamlMap({
    kind: z.literal('voltage'),
    ...common,
    above: quantityIn('voltage', 'V').describe('Running above this, such as 13.2 V.'),
    below: quantityIn('voltage', 'V').describe('Stopped below this, such as 12.9 V.'),
    hold: quantityIn('time', 's', 0).describe('Each for at least this long, such as 60 s.').prefault('60 s'),
  }),
]);
export type FeedYaml = z.output<typeof feedSchema>;
