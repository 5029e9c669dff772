import { sayMachine } from '../words/machine.js';
import { sayTask } from '../words/task.js';
import { sayVisit } from '../words/visit.js';
import type { Assets } from './assets.js';
import { RecordLines } from './history.js';
import { Page } from './layout.js';
import { visitsHolding } from './moved.js';
import type { SeenVisit } from './seen-visit.js';

type Recorded = Extract<SeenVisit, { kind: 'done' | 'partly' }>;

/** What is on record of a visit that is no longer planned, and where its rest, or what comes next, is to be found. */
export function DoneVisit({ seen, assets }: { readonly seen: Recorded; readonly assets: Assets }) {
  const isDone = seen.kind === 'done';
  const heading = !isDone
    ? 'Part of this is done.'
    : seen.isWhole
      ? 'This is done already.'
      : 'This much is done already.';
  return (
    <Page title={isDone ? 'Done' : 'Partly done'} assets={assets}>
      <h1>{heading}</h1>
      <p class="second">It stands in the books once, however often this page is opened.</p>
      <RecordsOf seen={seen} />
      <RestOf seen={seen} />
    </Page>
  );
}

/** The records of a visit, each with the way to take it back. */
export function RecordsOf({ seen }: { readonly seen: Recorded }) {
  return (
    <ul class="tasks">
      {seen.records.map((record) => (
        <li>
          <RecordLines record={record} shown={seen.shown} />
        </li>
      ))}
    </ul>
  );
}

/** The visits that hold the rest now; after a whole visit, or one of which nobody knows the whole, what comes next. */
export function RestOf({ seen }: { readonly seen: Recorded }) {
  const { machine, outlook, household } = seen.shown;
  const next = outlook.visits.find((visit) => visit.machine === machine.id);
  const visits = seen.kind === 'partly' ? visitsHolding(seen.rest, seen.shown) : next === undefined ? [] : [next];
  return (
    <>
      {seen.kind === 'partly' ? (
        <>
          <h2>Not done yet</h2>
          <ul class="plain">
            {seen.rest.map((task) => (
              <li>{sayTask(task, machine)}</li>
            ))}
          </ul>
          {visits.length === 0 ? <p>It comes again when it is due.</p> : null}
        </>
      ) : visits.length === 0 ? null : (
        <h2>Still planned on {sayMachine(machine)}</h2>
      )}
      {visits.map((visit) => (
        <>
          <p>{sayVisit(visit, machine, outlook.today, household.locale)}</p>
          <p class="acts">
            <a class="act" href={`/visits/${visit.id}/sheet`}>
              Open its sheet
            </a>
          </p>
        </>
      ))}
    </>
  );
}
