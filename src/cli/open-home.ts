import { openService, type Service } from '../daemon/wire.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Log } from '../domain/outside.js';
import type { Visit } from '../domain/results/visit.js';
import { type At, clockAt, readHome } from './at.js';
import { BadInput } from './output.js';

export const quietLog: Log = { error: () => {}, warn: () => {}, info: () => {}, debug: () => {} };

/** Opens the service for one command and closes it again, whatever happens. */
export async function withService(
  at: At,
  work: (service: Service, home: Home) => number | Promise<number>,
): Promise<number> {
  const { dir, home } = readHome(at);
  const service = openService({ homeDir: dir, home, clock: clockAt(at, home.household.zone), log: quietLog });
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
  throw visitUnknown(service, id);
}

/** The refusal of a visit that is not open, with up to five that are. */
export function visitUnknown(service: Service, id: string): BadInput {
  const known = service
    .latest()
    .visits.slice(0, 5)
    .map((v) => v.id);
  return new BadInput(`There is no open visit ${JSON.stringify(id)}. Next: ${known.join(', ') || 'none'}.`);
}
