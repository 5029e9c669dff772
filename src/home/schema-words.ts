import { z } from 'zod';
import type { KeyPath } from './read-yaml.js';

/** The `.describe()` text nearest to the value at `path`: what would be right there. Null where nothing describes it. */
export function describedAt(schema: z.core.$ZodType, path: KeyPath): string | null {
  const own = z.globalRegistry.get(schema)?.description ?? null;
  const inner = innerOf(schema);
  if (inner !== null) return describedAt(inner, path) ?? own;
  const [step, ...rest] = path;
  if (step === undefined) return own;
  for (const next of stepsInto(schema, step)) {
    const words = describedAt(next.schema, next.isOption ? path : rest);
    if (words !== null) return words;
  }
  // The words of a list still help where its entries have none.
  return typeof step === 'number' && rest.length === 0 ? own : null;
}

function innerOf(schema: z.core.$ZodType): z.core.$ZodType | null {
  if (schema instanceof z.core.$ZodPipe) return schema._zod.def.in;
  if (
    schema instanceof z.core.$ZodOptional ||
    schema instanceof z.core.$ZodDefault ||
    schema instanceof z.core.$ZodPrefault
  ) {
    return schema._zod.def.innerType;
  }
  return null;
}

function stepsInto(schema: z.core.$ZodType, step: string | number): { schema: z.core.$ZodType; isOption: boolean }[] {
  const into = (child: z.core.$ZodType | undefined) =>
    child === undefined ? [] : [{ schema: child, isOption: false }];
  if (schema instanceof z.core.$ZodObject) {
    const shape = schema._zod.def.shape;
    return into(typeof step === 'string' && Object.hasOwn(shape, step) ? shape[step] : undefined);
  }
  if (schema instanceof z.core.$ZodArray) return into(schema._zod.def.element);
  if (schema instanceof z.core.$ZodRecord) return into(schema._zod.def.valueType);
  if (schema instanceof z.core.$ZodTuple) {
    return into(typeof step === 'number' ? schema._zod.def.items[step] : undefined);
  }
  if (schema instanceof z.core.$ZodUnion) {
    return schema._zod.def.options.map((option) => ({ schema: option, isOption: true }));
  }
  return [];
}
