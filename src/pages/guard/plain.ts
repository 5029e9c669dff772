import type { Response } from 'express';

/** A refusal before any page can be drawn: one plain sentence. */
export function sendPlain(response: Response, status: number, sentence: string): void {
  response.status(status).type('text/plain').set('Cache-Control', 'no-store').send(`${sentence}\n`);
}
