import { pino } from 'pino';
import type { Log } from '../domain/outside.js';

/** One JSON line an event on standard output; mail addresses and secrets never stand in it.
 *  Level by SHEDBELL_LOG (error, warn, info, debug), else info. */
export function openLog(level = process.env.SHEDBELL_LOG ?? 'info'): Log {
  const known = ['error', 'warn', 'info', 'debug', 'silent'];
  return pino({
    level: known.includes(level) ? level : 'info',
    base: null,
    timestamp: pino.stdTimeFunctions.isoTime,
    redact: { paths: ['*.password', 'password', '*.token', 'token', '*.mail', 'mail'], censor: '…' },
  });
}
