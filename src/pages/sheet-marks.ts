import type { RequestHandler } from 'express';
import { z } from 'zod';
import { mergeSheet } from '../ledger/sheet-marks.js';
import type { Given } from './given.js';
import { sendPlain } from './guard/plain.js';

const touched = z
  .array(
    z.object({
      field: z.string().min(1).max(300),
      value: z.union([z.boolean(), z.string().max(2000)]),
      agoMs: z.number().min(0).transform(Math.round),
    }),
  )
  .max(1000);

/** What devices tell each other of one open bench sheet: a form with a JSON text `touched`; the answer is JSON: `touched` of
 *  the same shape with what all of them touched, and `closedAgoMs`. */
export function shareSheet(given: Given): RequestHandler<{ id: string }> {
  return (request, response) => {
    const { id } = request.params;
    const isOurs = given.books.home().machines.some((machine) => id.startsWith(`${machine.id}-`));
    if (!isOurs || !/^[a-z0-9-]{3,200}$/.test(id)) return sendPlain(response, 404, 'There is no such sheet.');
    const parsed = touched.safeParse(readJson(request.body?.touched));
    if (!parsed.success) return sendPlain(response, 400, 'What was ticked could not be read, so nothing was kept.');
    response.set('Cache-Control', 'no-store').json(mergeSheet(given.books, id, parsed.data));
  };
}

function readJson(text: unknown): unknown {
  if (typeof text !== 'string') return null;
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
