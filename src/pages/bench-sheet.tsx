import type { RequestHandler, Response } from 'express';
import { Fault } from '../domain/fault.js';
import { sheetOf } from '../outlook/sheet-of.js';
import type { Assets } from './assets.js';
import { confirmFromForm } from './confirm.js';
import { DoneVisit } from './done-visit.js';
import type { Given } from './given.js';
import { readForm } from './guard/form.js';
import { heldVisit } from './held-visit.js';
import { knownPerson } from './known-person.js';
import { sendPage } from './layout.js';
import { LeftOut, leftOutBy } from './left-out.js';
import { MovedVisit, visitsHolding } from './moved.js';
import { settleSeenTo } from './seen-to.js';
import { seeVisit } from './seen-visit.js';
import { BenchSheet } from './sheet-page.js';
import { Sorry } from './trouble.js';
import { verdictsIn } from './verdicts.js';

/** Shows the sheet of a planned visit; a visit done, replaced or unknown gets a page that says so. */
export function benchSheetPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const seen = seeVisit(given, request.params.id);
    if (seen.kind !== 'planned') return sendNoSheet(given, assets, response, request.params.id);
    const sheet = sheetOf(given.books.home(), given.facts(), seen.visit);
    sendPage(
      response,
      200,
      <BenchSheet
        shown={seen.shown}
        visit={seen.visit}
        sheet={sheet}
        assets={assets}
        form={null}
        verdicts={{}}
        fault={null}
        nowMs={given.books.clock.nowMs()}
      />,
    );
  };
}

/** Takes the whole sheet. The first button of the form, which Enter in any field presses, only looks it over. */
export function confirmSheet(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const form = readForm(request);
    const held = heldVisit(given, request.params.id, form);
    if (held === null) return sendNoSheet(given, assets, response, request.params.id);
    const { shown, visit } = held;
    const sheet = sheetOf(given.books.home(), given.facts(), visit);
    const again = (status: number, fault: Fault | null) =>
      sendPage(
        response,
        status,
        <BenchSheet
          shown={shown}
          visit={visit}
          sheet={sheet}
          assets={assets}
          form={form}
          verdicts={verdictsIn(given, form, shown, visit.tasks)}
          fault={fault}
          nowMs={given.books.clock.nowMs()}
        />,
      );
    if (form.text('go') === 'look') return again(200, null);
    const outcome = confirmFromForm(given, form, {
      visit,
      shown,
      sheet,
      by: knownPerson(form.optional('by'), shown),
      door: 'page',
    });
    if (outcome instanceof Fault) return again(400, outcome);
    if (settleSeenTo(given, form, shown, outcome.id)) given.changed();
    response.redirect(303, `/records/${outcome.id}`);
  };
}

function sendNoSheet(given: Given, assets: Assets, response: Response, id: string): void {
  const seen = seeVisit(given, id);
  if (seen.kind === 'done' || seen.kind === 'partly') {
    sendPage(response, 200, <DoneVisit seen={seen} assets={assets} />);
    return;
  }
  const leftOut = seen.kind === 'dropped' ? leftOutBy(given, seen.announced, seen.shown) : null;
  if (seen.kind === 'dropped' && leftOut !== null) {
    sendPage(response, 410, <LeftOut announced={seen.announced} by={leftOut} shown={seen.shown} assets={assets} />);
    return;
  }
  const elsewhere = seen.kind === 'dropped' ? visitsHolding(seen.announced.tasks, seen.shown) : [];
  if (elsewhere.length > 0) {
    sendPage(response, 410, <MovedVisit visits={elsewhere} shown={seen.shown} assets={assets} />);
    return;
  }
  sendPage(
    response,
    410,
    <Sorry
      assets={assets}
      heading="This visit is no longer planned."
      sentences={['What it was for is not due any more.']}
    />,
  );
}
