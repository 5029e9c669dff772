import { z } from 'zod';

/** A map that takes these keys and no other. Its complaint about another key carries the keys that it knows,
 *  so that the fault can say which one was meant. */
export function yamlMap<Shape extends z.ZodRawShape>(shape: Shape) {
  const known = Object.keys(shape).join(' ');
  return z.strictObject(shape, { error: (issue) => (issue.code === 'unrecognized_keys' ? known : undefined) });
}

/** What a map of `yamlMap` knows, read back from its complaint. */
export function knownKeys(complaint: string): string[] {
  return complaint.split(' ').filter((key) => key !== '');
}
