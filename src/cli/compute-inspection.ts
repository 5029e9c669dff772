import { z } from 'zod';
import { Fault } from '../domain/fault.js';
import type { Specification } from '../domain/specification.js';
import { checkSpecification } from '../domain/specification-rules.js';
import { judge } from '../inspection/judge.js';
import { type Kind, lineId } from './compute-lines.js';

const quantity = z.string({ error: 'wants a quantity as text, such as "10 mm"' }).max(200);
const limit = quantity.nullish();

const specSchema = z.discriminatedUnion(
  'kind',
  [
    z.object({ kind: z.literal('range'), min: quantity, max: quantity }),
    z.object({ kind: z.literal('atLeast'), min: quantity }),
    z.object({ kind: z.literal('atMost'), max: quantity }),
    z.object({ kind: z.literal('nominal'), nominal: quantity, tolerance: quantity }),
    z.object({ kind: z.literal('difference'), min: limit, max: limit }),
    z.object({
      kind: z.literal('lookup'),
      points: z.array(z.tuple([quantity, z.number()])).max(10_000),
      unit: z.string().max(60),
      min: z.number().nullish(),
      max: z.number().nullish(),
    }),
    z.object({ kind: z.literal('test'), passes: z.string().max(1000).nullish(), longest: limit }),
  ],
  { error: 'wants kind: range, atLeast, atMost, nominal, difference, lookup or test, each with its own keys' },
);

const caseSchema = z
  .object({
    id: lineId,
    spec: specSchema,
    found: z.union([quantity, z.array(quantity).max(100)], { error: 'wants a text, or two for a difference' }),
    resolution: quantity.nullish(),
  })
  .superRefine(({ spec }, context) => {
    for (const { message, remedy, path } of checkSpecification(specificationOf(spec))) {
      context.addIssue({ code: 'custom', message: `${message}. ${remedy}`, path: ['spec', ...path] });
    }
  });

/** What answers one line of `compute inspection`: value, unit, verdict, and how it reads. */
export const inspectionKind: Kind<z.infer<typeof caseSchema>> = {
  schema: caseSchema,
  answer: ({ spec, found, resolution }) => {
    const specification = specificationOf(spec);
    const asRead = at('found', () => judge(specification, found));
    const { value, unit, verdict, text } =
      typeof resolution === 'string' ? at('resolution', () => judge(specification, found, resolution)) : asRead;
    return { value, unit, verdict, text };
  },
};

/** A fault of the judgement with the key of the line that it is about: what is judged without a step is at fault by its value. */
function at<T>(key: string, judged: () => T): T {
  try {
    return judged();
  } catch (fault) {
    if (!(fault instanceof Fault)) throw fault;
    const { code, message, found, remedy } = fault;
    throw new Fault({ code, message: `${key}: ${message}`, found, remedy });
  }
}

function specificationOf(spec: z.infer<typeof specSchema>): Specification {
  switch (spec.kind) {
    case 'difference':
      return { kind: spec.kind, ...given('min', spec.min), ...given('max', spec.max) };
    case 'lookup': {
      const { kind, points, unit } = spec;
      return { kind, points, unit, ...given('min', spec.min), ...given('max', spec.max) };
    }
    case 'test':
      return { kind: spec.kind, passes: spec.passes ?? 'as it should', ...given('longest', spec.longest) };
    default:
      return spec;
  }
}

/** The key where there is a value; null counts as absent. */
function given<K extends string, V>(key: K, value: V | null | undefined): { [name in K]?: V } {
  const entry: { [name in K]?: V } = {};
  if (value !== null && value !== undefined) entry[key] = value;
  return entry;
}
