import { z } from 'zod';
import { seasonWords } from '../domain/machine.js';
import { feedSchema } from './feed-schema.js';
import { measureOverride } from './measure-schema.js';
import { day, hours, id, idKey, quantityText, shaped, words } from './scalars.js';
import { fluid, part, taskShape } from './task-schema.js';
import { yamlMap } from './yaml-map.js';

const lastDone = z.union([
  z.enum(['unknown', 'fine-as-bought']),
  yamlMap({
    hours: hours().describe('Meter hours then, such as 320.').exactOptional(),
    day: day().describe('Day, such as 2026-04-09.').exactOptional(),
  }).refine((value) => Object.keys(value).length > 0, { error: 'At least one of hours and day is wanted here' }),
]);

const intervalOverride = yamlMap({
  hours: z
    .union([z.number().positive().max(100_000), z.literal('none')])
    .describe('Engine hours, such as 100, or none.')
    .exactOptional(),
  months: z
    .union([z.int().min(1).max(600), z.literal('none')])
    .describe('Calendar months, such as 12, or none.')
    .exactOptional(),
});

/** Any key of a task may be set on the machine. Interval, needs, tolerance and the extra work keep what is not named;
 *  parts and fluids are matched by name, measurements by id; every other key replaces the plan's. */
const override = yamlMap({
  ...optional(taskShape),
  every: z
    .union([z.literal('use'), intervalOverride])
    .describe('Interval: hours, months or both; what is not named stays as in the plan, none takes it out.')
    .exactOptional(),
  first: intervalOverride.describe('First time on a new machine: hours, months or both.').exactOptional(),
  parts: z
    .array(yamlMap({ ...optional(part.shape), name: part.shape.name }))
    .describe('Your parts, matched by name; quantity: 0 leaves one out.')
    .exactOptional(),
  fluids: z
    .array(
      yamlMap({
        ...optional(fluid.shape),
        name: fluid.shape.name,
        quantity: quantityText(['volume', 'mass'], -1)
          .describe('How much, with its unit, such as 4.2 L; 0 L leaves it out.')
          .exactOptional(),
      }),
    )
    .describe('Your fluids, matched by name.')
    .exactOptional(),
  ifOut: yamlMap(optional(taskShape.ifOut.unwrap().shape))
    .describe('Work that only a bad finding brings.')
    .exactOptional(),
  measure: z.array(measureOverride).describe('Your values for measurements, matched by id.').exactOptional(),
});
export type TaskOverride = z.output<typeof override>;

/** machines/NAME.yaml: one machine, its meter and what is known of its past. */
export const machineSchema = yamlMap({
  name: words(80).describe('Name of the machine, as you call it.'),
  plan: shaped(
    /^(?:library:)?[a-z0-9]+(?:-[a-z0-9]+)*$/,
    'This is not the name of a plan',
    'Write library:NAME for a plan of the library, or NAME for plans/NAME.yaml of your own.',
  ).describe('Its service plan: library:NAME, or NAME for plans/NAME.yaml of your own.'),
  since: day().describe('Day from which this service answers for the machine, such as 2027-04-09.').exactOptional(),
  has: z.array(id()).describe('What is fitted, from the list fittings: of the plan.').default([]),
  covers: z.array(id()).describe("Its covers, in place of the plan's list.").exactOptional(),
  places: z.array(words(80)).describe("Its places, in place of the plan's list.").exactOptional(),
  meter: z
    .union([
      z.literal('none'),
      yamlMap({
        counts: z
          .enum(['clock', 'engine-speed'])
          .describe('clock (an hour is an hour) or engine-speed (slower at low speed).')
          .default('clock'),
        first: yamlMap({
          hours: hours().describe('What the meter showed, such as 384.2.'),
          on: day().describe('On which day, such as 2027-04-09.').exactOptional(),
          about: z.boolean().describe('true: only roughly known.').default(false),
        })
          .describe('First value of the meter: hours, on and about.')
          .exactOptional(),
        replaced: z
          .array(
            yamlMap({
              on: day().describe('Day on which the meter was replaced or began anew.'),
              last: hours().describe('What the old one showed last.'),
              first: hours().describe('What the new one showed first.').default(0),
            }),
          )
          .describe('Changes of the meter: on, last and first.')
          .default([]),
      }),
    ])
    .describe('Hour meter: none, or counts, first and replaced.')
    .prefault({}),
  expect: yamlMap({
    hoursPerYear: z
      .number()
      .min(0)
      .max(8784)
      .describe('Engine hours a year that you expect, such as 60.')
      .exactOptional(),
    season: z
      .enum(seasonWords)
      .describe(`When in the year it is used: ${seasonWords.join(', ')}.`)
      .default('unknown'),
  })
    .describe('What you expect of a year: hoursPerYear and season.')
    .prefault({}),
  feed: feedSchema.describe('Run-time sensor on MQTT.').exactOptional(),
  resting: yamlMap({
    from: day().describe('First day of rest, such as 2027-11-15.'),
    until: day().describe('Last day of rest; without it, until you take resting: out.').exactOptional(),
  })
    .describe('Rests from day to day, no notices: from and until.')
    .exactOptional(),
  gone: z.boolean().describe('true: sold or scrapped; its logbook stays.').default(false),
  last: z
    .union([z.enum(['unknown', 'fine-as-bought']), z.record(idKey(), lastDone)])
    .describe(
      'What was done before: unknown, fine-as-bought, or by task, such as engine-oil: { hours: 320, day: 2026-04-09 }.',
    )
    .default({}),
  never: z.record(idKey(), words(300)).describe('Tasks that you retire, each with the reason.').default({}),
  tasks: z.record(idKey(), override).describe('Your own values for tasks of the plan, by task.').default({}),
});
export type MachineYaml = z.output<typeof machineSchema>;

type Loose<Shape extends z.ZodRawShape> = { [K in keyof Shape]: z.ZodExactOptional<Bare<Shape[K]>> };
type Bare<S> = S extends z.ZodExactOptional<infer I> | z.ZodDefault<infer I> | z.ZodPrefault<infer I> ? Bare<I> : S;

/** Every key may be left out, and none has a default: what the machine does not name stays as the plan has it. */
function optional<Shape extends z.ZodRawShape>(shape: Shape): Loose<Shape> {
  return Object.fromEntries(
    Object.entries(shape).map(([key, schema]) => [key, z.exactOptional(bare(schema))]),
  ) as unknown as Loose<Shape>;
}

function bare(schema: z.core.$ZodType): z.core.$ZodType {
  const wraps =
    schema instanceof z.ZodExactOptional || schema instanceof z.ZodDefault || schema instanceof z.ZodPrefault;
  return wraps ? bare(schema._zod.def.innerType) : schema;
}
