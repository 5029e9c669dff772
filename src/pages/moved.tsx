import type { Visit } from '../domain/results/visit.js';
import { sayVisit } from '../words/visit.js';
import type { Assets } from './assets.js';
import { Page } from './layout.js';
import type { Shown } from './shown.js';

/** The planned visits that hold tasks of one that was given up. */
export function visitsHolding(tasks: readonly string[], { machine, outlook }: Shown): readonly Visit[] {
  return outlook.visits.filter(
    (visit) => visit.machine === machine.id && visit.tasks.some((task) => tasks.includes(task)),
  );
}

/** A page that says where the work of a visit went. */
export function MovedVisit({
  visits,
  shown,
  assets,
}: {
  readonly visits: readonly Visit[];
  readonly shown: Shown;
  readonly assets: Assets;
}) {
  const { machine, outlook, household } = shown;
  return (
    <Page title={`Moved · ${machine.name}`} assets={assets}>
      <h1>This work is planned together with other work now.</h1>
      {visits.map((visit) => (
        <>
          <p>{sayVisit(visit, machine, outlook.today, household.locale)}</p>
          <p class="acts">
            <a class="act main" href={`/visits/${visit.id}/sheet`}>
              Open its sheet
            </a>
          </p>
        </>
      ))}
      <p class="small">What you have done already can be ticked at the end of that sheet.</p>
    </Page>
  );
}
