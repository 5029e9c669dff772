import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { earliestSaneMs, systemClock } from '../daemon/clock.js';
import { parseInstant, parseZone, type Zone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import type { Clock } from '../domain/outside.js';
import type { Witness } from '../home/check-witness.js';
import { loadHome } from '../home/load-home.js';
import { BadInput } from './output.js';

/** What every command may be told: where the home folder is and what time it is. */
export interface At {
  readonly home: string | undefined;
  readonly now: string | undefined;
}

/** The home folder of a command: `--home`, then SHEDBELL_HOME (empty is as if it were not set), then ./shed. */
export function homeFolder(given: string | undefined): string {
  const dir = given ?? (process.env.SHEDBELL_HOME || './shed');
  if (dir.trim() === '') {
    throw new BadInput(`${given === undefined ? 'SHEDBELL_HOME' : '--home'} was given an empty name.`);
  }
  return resolve(dir);
}

/** Reads and checks the home folder.
 *  @param witness  what its days and meter values are held against; null: not looked at
 *  @throws BadInput with the first fault and how many more there are */
export function readHome(at: At, witness: Witness | null = null): { dir: string; home: Home } {
  const dir = homeFolder(at.home);
  if (!existsSync(dir)) {
    throw new BadInput(`There is no folder ${dir}. Make one with: shedbell init ${at.home ?? './shed'}`);
  }
  const loaded = loadHome(dir, process.env, witness);
  if (loaded.kind === 'home') return { dir, home: loaded.home };
  const [first, ...rest] = loaded.faults;
  const more = rest.length === 0 ? '' : ` And ${rest.length} more: shedbell check says them all.`;
  throw new BadInput(`${first?.line ?? 'The home folder cannot be read.'}${more}`);
}

/** The clock of a command: the computer's, or set by `--now` (time of `zone` where no offset is given).
 *  @throws BadInput */
export function clockAt({ now }: Pick<At, 'now'>, zone: Zone): Clock {
  return systemClock(now === undefined ? undefined : optionValue('--now', now, (text) => parseInstant(text, zone)));
}

/** The clock of a command as what days are held against. One that was never set says nothing. */
export function clockWitness(at: At): Witness {
  // A home without machines asks for no time, but a mistyped --now is said all the same.
  clockAt(at, parseZone('UTC'));
  const saneMs = (nowMs: number) => (nowMs < earliestSaneMs ? null : nowMs);
  return { nowMs: (zone) => saneMs(clockAt(at, zone).nowMs()), readings: () => [] };
}

/** What a parser of the domain makes of an option; its fault names the option.
 *  @throws BadInput */
export function optionValue<T>(option: string, text: string, parse: (text: string) => T): T {
  if (text.trim() === '') throw new BadInput(`${option} was given nothing.`);
  try {
    return parse(text);
  } catch (fault) {
    if (fault instanceof Fault) throw new BadInput(`${option}: ${fault.line}`);
    throw fault;
  }
}
