import type { Door } from '../../domain/facts.js';

/** The doors as they are stored. */
export const doors = [
  'page',
  'link',
  'command',
  'import',
  'feed',
  'visit',
  'configuration',
  'rehearsal',
] as const satisfies readonly Door[];
