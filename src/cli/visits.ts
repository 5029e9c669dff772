import { sayVisit } from '../words/visit.js';
import type { At } from './at.js';
import { withService } from './open-home.js';
import { type Output, print } from './output.js';

/** `shedbell visits`: the visits ahead, soonest first. */
export function runVisits(at: At, options: { readonly json?: true }, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const outlook = service.latest();
    const lines = outlook.visits.flatMap((visit) => {
      const machine = home.machines.find((m) => m.id === visit.machine);
      if (machine === undefined) return [];
      return [`${visit.id}: ${sayVisit(visit, machine, outlook.today, home.household.locale)}`];
    });
    print(out, options.json === true, { visits: outlook.visits }, lines.length === 0 ? ['No visit ahead.'] : lines);
    return 0;
  });
}
