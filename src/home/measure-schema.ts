import { z } from 'zod';
import type { Measurement } from '../domain/task.js';
import { anyQuantity, id, quantityText, words } from './scalars.js';
import { yamlMap } from './yaml-map.js';

const common = {
  id: id().describe('Id of the measurement, such as pedal-play.'),
  name: words(120).describe('What is measured, such as free play of the clutch pedal.'),
  method: words(600).describe('Where and how it is taken.').exactOptional(),
  aim: anyQuantity().describe('Value to set within the range, such as 12 mm.').exactOptional(),
  places: z.array(words(80)).min(1).describe('One value each, such as [front left, front right].').exactOptional(),
  resolution: anyQuantity().describe('Smallest step the instrument shows, such as 1 mm or 1/16 in.').exactOptional(),
  last: z.literal(true).describe('true: taken after the last steps, such as a trial on a slope.').exactOptional(),
};
const smallest = () => anyQuantity().describe('Smallest value allowed, such as 10 mm.');
const largest = () => anyQuantity().describe('Largest value allowed, such as 13 mm.');

/** Both where the limit stands alone and where it is the warm end of a range. */
const belowColdest = quantityText(['temperature'])
  .describe(
    'The largest value lies so many degrees below the coldest night of the household, such as 8 C; max stands in while that is not known.',
  )
  .exactOptional();

/** The kinds of specification with their own keys. A plan writes them beside id and name, not one level deeper. */
const kinds = {
  range: { min: smallest(), max: largest(), belowColdest },
  atLeast: { min: smallest() },
  atMost: { max: largest(), belowColdest },
  nominal: {
    nominal: anyQuantity().describe('The value it should have, such as 1.45 bar.'),
    tolerance: anyQuantity().describe('How far it may be off either way, such as 0.1 bar.'),
  },
  difference: {
    min: smallest().exactOptional(),
    max: largest().exactOptional(),
    first: words(80).describe('The value that is taken first.').exactOptional(),
    second: words(80).describe('The value that is taken away from it.').exactOptional(),
  },
  lookup: {
    points: z
      .array(z.tuple([anyQuantity(), z.number()]))
      .describe('Points of the table: reading and value, such as [[12.0 V, 25], [12.4 V, 75]].'),
    unit: words(20).describe('Unit of the values, such as %.'),
    min: z.number().describe('Smallest value allowed, in that unit.').exactOptional(),
    max: z.number().describe('Largest value allowed, in that unit.').exactOptional(),
  },
  setTo: {
    value: anyQuantity().describe('Torque or pressure to set, such as 90 N m.'),
    pattern: words(200).describe('In which order, such as crosswise.').exactOptional(),
  },
  adjustThen: {
    adjustTo: words(200).describe('What to adjust to first.'),
    // biome-ignore lint/suspicious/noThenProperty: the key of the file; its value is text, never a function
    then: words(300).describe('The further step, such as back off a sixth of a turn.'),
    min: smallest(),
    max: largest(),
  },
  level: {
    marks: words(200).describe('The two marks and how to read them.'),
    looksWrong: words(300).describe('What looks wrong, such as milky.').exactOptional(),
  },
  look: {
    sound: words(300).describe('What sound looks like.'),
    normal: words(300).describe('What looks odd but is no fault.').exactOptional(),
  },
  test: {
    passes: words(300).describe('What passing means, such as the engine stops at once.'),
    longest: quantityText(['time'], 0).describe('Longest time it may take, such as 1 s.').exactOptional(),
    stopUse: z.boolean().describe('true: a failure means do not use until mended.').exactOptional(),
  },
} as const;

export const measureSchema = z
  .discriminatedUnion('kind', [
    yamlMap({ ...common, kind: z.literal('range'), ...kinds.range }),
    yamlMap({ ...common, kind: z.literal('atLeast'), ...kinds.atLeast }),
    yamlMap({ ...common, kind: z.literal('atMost'), ...kinds.atMost }),
    yamlMap({ ...common, kind: z.literal('nominal'), ...kinds.nominal }),
    yamlMap({ ...common, kind: z.literal('difference'), ...kinds.difference }),
    yamlMap({ ...common, kind: z.literal('lookup'), ...kinds.lookup }),
    yamlMap({ ...common, kind: z.literal('setTo'), ...kinds.setTo }),
    yamlMap({ ...common, kind: z.literal('adjustThen'), ...kinds.adjustThen }),
    yamlMap({ ...common, kind: z.literal('level'), ...kinds.level }),
    yamlMap({ ...common, kind: z.literal('look'), ...kinds.look }),
    yamlMap({ ...common, kind: z.literal('test'), ...kinds.test }),
  ])
  .transform((item): Measurement => {
    const { id: itemId, name, method, aim, places, resolution, last, ...specification } = item;
    return {
      id: itemId,
      name,
      specification,
      ...(method === undefined ? {} : { method }),
      ...(aim === undefined ? {} : { aim }),
      ...(places === undefined ? {} : { places }),
      ...(resolution === undefined ? {} : { resolution }),
      ...(last === undefined ? {} : { last }),
    };
  });

/** What a machine changes in a measurement of its plan: any value, matched by id. The merged whole is checked again. */
export const measureOverride = yamlMap({
  ...common,
  name: common.name.exactOptional(),
  kind: z
    .enum(Object.keys(kinds))
    .describe('Another kind of measurement; then all of its values are wanted.')
    .exactOptional(),
  min: z.union([anyQuantity(), z.number()]).describe('Smallest value allowed, such as 10 mm.').exactOptional(),
  max: z.union([anyQuantity(), z.number()]).describe('Largest value allowed, such as 13 mm.').exactOptional(),
  belowColdest,
  nominal: kinds.nominal.nominal.exactOptional(),
  tolerance: kinds.nominal.tolerance.exactOptional(),
  first: kinds.difference.first,
  second: kinds.difference.second,
  points: kinds.lookup.points.exactOptional(),
  unit: kinds.lookup.unit.exactOptional(),
  value: kinds.setTo.value.exactOptional(),
  pattern: kinds.setTo.pattern,
  adjustTo: kinds.adjustThen.adjustTo.exactOptional(),
  // biome-ignore lint/suspicious/noThenProperty: the key of the file; its value is text, never a function
  then: kinds.adjustThen.then.exactOptional(),
  marks: kinds.level.marks.exactOptional(),
  looksWrong: kinds.level.looksWrong,
  sound: kinds.look.sound.exactOptional(),
  normal: kinds.look.normal,
  passes: kinds.test.passes.exactOptional(),
  longest: kinds.test.longest,
  stopUse: kinds.test.stopUse,
});
export type MeasureOverride = z.output<typeof measureOverride>;
