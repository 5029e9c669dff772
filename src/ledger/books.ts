import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Clock } from '../domain/outside.js';
import type { Store } from '../store/open.js';
import { machineUnknown } from './errors.js';

/** What every entry needs: the facts, the home folder as it is now, and the time. */
export interface Books {
  readonly store: Store;
  home(): Home;
  readonly clock: Clock;
}

/** The machine of that id in the home folder.
 *  @throws Fault machine-unknown */
export function machineCalled(books: Books, id: string): Machine {
  const { machines } = books.home();
  const machine = machines.find((m) => m.id === id);
  if (machine === undefined)
    throw machineUnknown(
      id,
      machines.map((m) => m.id),
    );
  return machine;
}
