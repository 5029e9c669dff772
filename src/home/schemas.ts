import { fileURLToPath } from 'node:url';
import { z } from 'zod';
import { householdSchema } from './household-schema.js';
import { machineSchema } from './machine-schema.js';
import { planSchema } from './plan-schema.js';

/** Where the written schemas live. */
export const schemaFolder = fileURLToPath(new URL('../../config/schema/', import.meta.url));

const schemas = [
  { name: 'household', title: 'household.yaml', schema: householdSchema },
  { name: 'machine', title: 'machines/NAME.yaml', schema: machineSchema },
  { name: 'plan', title: 'plans/NAME.yaml', schema: planSchema },
] as const;

/** JSON Schemas (draft 7, which editors understand) of the home folder's files, by file name, as text to be written.
 *  They say what may be typed; rules between keys, units and days stay with `shedbell check`. */
export function schemaFiles(): ReadonlyMap<string, string> {
  return new Map(
    schemas.map(({ name, title, schema }) => {
      const { $schema, ...rest } = z.toJSONSchema(schema, { io: 'input', target: 'draft-7' });
      return [`${name}.json`, `${JSON.stringify({ $schema, title, ...rest }, null, 2)}\n`];
    }),
  );
}
