import type { RequestHandler } from 'express';
import { formatInstant } from '../domain/day.js';
import type { Given } from './given.js';
import { mayEnterAll } from './guard/sign-in.js';

/** How the service is, for supervisors and for the script that sends what waits on a phone. Nothing of the household stands in it. */
export function sendHealth(given: Given): RequestHandler {
  return (request, response) => {
    const { lastTurnAtMs, doubt, problems, lastBackupAtMs = null, vitals, code = null } = given.health();
    const isFailing = code !== null || (vitals !== undefined && (vitals.database === 'failing' || !vitals.ticks));
    response.status(doubt === null && !isFailing ? 200 : 503).json({
      status: isFailing ? 'failing' : doubt === null ? 'ok' : 'in doubt',
      // Names a trouble that somebody has to mend.
      code,
      now: formatInstant(given.books.clock.nowMs()),
      lastTurnAt: instant(lastTurnAtMs),
      problems: problems.length,
      // What waits on a phone is sent only where it would be taken.
      signedIn: mayEnterAll(given, request),
      database: vitals?.database ?? null,
      loopLagMs: vitals?.loopLagMs ?? null,
      lastBackupAt: instant(lastBackupAtMs),
    });
  };
}

function instant(atMs: number | null): string | null {
  return atMs === null ? null : formatInstant(atMs);
}
