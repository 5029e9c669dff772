import { z } from 'zod';
import { measureSchema } from './measure-schema.js';
import { id, words } from './scalars.js';
import { taskShape } from './task-schema.js';
import { yamlMap } from './yaml-map.js';

const taskSchema = yamlMap({
  id: id().describe('Id of the task, such as engine-oil.'),
  ...taskShape,
  measure: z.array(measureSchema).describe('Measurements, looks and tests that the task takes.').default([]),
});
export type TaskYaml = z.output<typeof taskSchema>;

/** plans/NAME.yaml: what one kind of machine needs, ordered by its parts. */
export const planSchema = yamlMap({
  title: words(120).describe('What the plan is for, such as Compact diesel tractor with front loader.'),
  source: words(300)
    .describe('Where its values come from, such as common practice, check your manual.')
    .default('common practice, check your manual'),
  covers: z.array(id()).describe('Covers that needs may name, such as [hood, side-panel].').default([]),
  fittings: z.array(id()).describe('Fittings that has and needs may name, such as [loader].').default([]),
  places: z.array(words(80)).describe('Places that measurements may name, such as [front left].').default([]),
  tasks: z.array(taskSchema).min(1).describe('The tasks, ordered by part of the machine.'),
});
