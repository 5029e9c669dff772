import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { systemClock } from '../daemon/clock.js';
import { openService, type Service } from '../daemon/wire.js';
import { parseInstant, parseZone } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Clock, Log } from '../domain/outside.js';
import type { Visit } from '../domain/results/visit.js';
import { loadHome } from '../home/load-home.js';
import { BadInput, type Output } from './output.js';

/** What every command may be told: where the home folder is and what time it is. */
export interface At {
  readonly home: string | undefined;
  readonly now: string | undefined;
}

/** The home folder of a command: `--home`, then SHEDBELL_HOME, then ./shed. */
export function homeFolder(given: string | undefined): string {
  const dir = given ?? process.env.SHEDBELL_HOME ?? './shed';
  if (dir.trim() === '') throw new BadInput('--home was given an empty name.');
  return resolve(dir);
}

/** Reads and checks the home folder.
 *  @throws BadInput with the first fault and how many more there are */
export function readHome(at: At): { dir: string; home: Home } {
  const dir = homeFolder(at.home);
  if (!existsSync(dir)) {
    throw new BadInput(`There is no folder ${dir}. Make one with: shedbell init ${at.home ?? './shed'}`);
  }
  const loaded = loadHome(dir);
  if (loaded.kind === 'home') return { dir, home: loaded.home };
  const [first, ...rest] = loaded.faults;
  const more = rest.length === 0 ? '' : ` And ${rest.length} more: shedbell check says them all.`;
  throw new BadInput(`${first?.line ?? 'The home folder cannot be read.'}${more}`);
}

/** The clock of a command: the computer's, or set by `--now` (household time where no offset is given). */
export function clockAt(at: At, home?: Home): Clock {
  return systemClock(at.now === undefined ? undefined : parseInstant(at.now, home?.household.zone ?? parseZone('UTC')));
}

export const quietLog: Log = { error: () => {}, warn: () => {}, info: () => {}, debug: () => {} };

/** Opens the service for one command and closes it again, whatever happens. */
export async function withService(
  at: At,
  work: (service: Service, home: Home) => number | Promise<number>,
): Promise<number> {
  const { dir, home } = readHome(at);
  const service = openService({ homeDir: dir, home, clock: clockAt(at, home), log: quietLog });
  try {
    return await work(service, home);
  } finally {
    service.close();
  }
}

/** @throws BadInput naming the machines there are */
export function machineNamed(home: Home, name: string): Machine {
  const machine = home.machines.find((m) => m.id === name);
  if (machine !== undefined) return machine;
  const known = home.machines.map((m) => m.id).join(', ');
  throw new BadInput(`There is no machine ${JSON.stringify(name)}. Known: ${known || 'none'}.`);
}

/** @throws BadInput naming the visits there are */
export function visitNamed(service: Service, id: string): Visit {
  const { visits } = service.latest();
  const visit = visits.find((v) => v.id === id);
  if (visit !== undefined) return visit;
  const known = visits.slice(0, 5).map((v) => v.id);
  throw new BadInput(`There is no open visit ${JSON.stringify(id)}. Next: ${known.join(', ') || 'none'}.`);
}

/** Prints as JSON or as lines, whichever was asked for. */
export function print(out: Output, json: boolean, document: unknown, lines: readonly string[]): void {
  if (json) out.line(JSON.stringify(document));
  else for (const line of lines) out.line(line);
}
