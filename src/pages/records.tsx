import type { RequestHandler } from 'express';
import type { Fault } from '../domain/fault.js';
import { fluidTold, meetsDemand } from '../domain/fluid-used.js';
import { tasksLeftOut } from '../domain/open-findings.js';
import { voidRecord } from '../ledger/void-record.js';
import { sayFluidUsed } from '../words/fluid-used.js';
import { sayMachine } from '../words/machine.js';
import { sayVisit } from '../words/visit.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { readForm } from './guard/form.js';
import { RecordLines } from './history.js';
import { Page, sendPage } from './layout.js';
import { showMachine } from './shown.js';
import { ToMend } from './to-mend.js';
import { Sorry } from './trouble.js';

type RecordHandler = RequestHandler<{ id: string }>;

/** What was just written down, the way to take it back, and what comes next. */
export function recordPage(given: Given, assets: Assets): RecordHandler {
  return (request, response) => {
    const record = given
      .facts()
      .machines.flatMap((one) => one.records)
      .find((one) => one.id === request.params.id);
    if (record === undefined) throw recordUnknown();
    const shown = showMachine(given, record.machine);
    const { machine, outlook, household } = shown;
    const next = outlook.visits.find((visit) => visit.machine === machine.id);
    sendPage(
      response,
      200,
      <Page title="Written down" assets={assets}>
        <h1>It is written down.</h1>
        <RecordLines record={record} shown={shown} />
        {record.findings
          .filter((finding) => fluidTold(finding) !== null && finding.note !== null && finding.note !== meetsDemand)
          .map((finding) => (
            <p class="said">
              <strong>{sayFluidUsed(finding)}</strong>
            </p>
          ))}
        <ToMend shown={shown} tasks={tasksLeftOut(record)} />
        <h2>What comes next</h2>
        <p>
          {next === undefined
            ? `Nothing is planned on ${sayMachine(machine)} as far as can be seen.`
            : sayVisit(next, machine, outlook.today, household.locale)}
        </p>
        <p class="acts">
          <a class="act" href="/">
            Months ahead
          </a>
          <a class="act" href={`/machines/${machine.id}`}>
            {machine.name}
          </a>
        </p>
      </Page>,
    );
  };
}

/** Takes a record back; twice is once. */
export function undoRecord(given: Given, assets: Assets): RecordHandler {
  return (request, response) => {
    readForm(request);
    const outcome = voidRecord(given.books, request.params.id, null);
    if (outcome.kind === 'refused') throw outcome.fault;
    given.changed();
    sendPage(
      response,
      200,
      <Sorry
        assets={assets}
        heading="It is taken back."
        sentences={[
          'The record stays in the books, struck out. Its tasks count as not done, and its visit is open again.',
        ]}
      />,
    );
  };
}

function recordUnknown(): Fault {
  return pageFault({
    code: 'record-unknown',
    message: 'There is no such record',
    remedy: 'It may have been taken back: look at the page of its machine.',
  });
}
