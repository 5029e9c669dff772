import type { RequestHandler } from 'express';
import type { ServiceRecord } from '../domain/facts.js';
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
import { type Form, readForm } from './guard/form.js';
import { RecordLines } from './history.js';
import { Page, sendPage } from './layout.js';
import { Trouble } from './pieces.js';
import { refusedField } from './refused-field.js';
import { type Shown, showMachine } from './shown.js';
import { ToMend } from './to-mend.js';
import { Sorry } from './trouble.js';

type RecordHandler = RequestHandler<{ id: string }>;

/** The page of one record, as it stands. */
export function recordPage(given: Given, assets: Assets): RecordHandler {
  return (request, response) => {
    const { record, shown } = findRecord(given, request.params.id);
    const page = <WrittenDown record={record} shown={shown} assets={assets} form={null} fault={null} />;
    sendPage(response, 200, page);
  };
}

/** The record that an address names, with its machine.
 *  @throws Fault record-unknown */
export function findRecord(given: Given, id: string): { readonly record: ServiceRecord; readonly shown: Shown } {
  const record = given
    .facts()
    .machines.flatMap((one) => one.records)
    .find((one) => one.id === id);
  if (record === undefined) throw recordUnknown();
  return { record, shown: showMachine(given, record.machine) };
}

interface WrittenDownProps {
  readonly record: ServiceRecord;
  readonly shown: Shown;
  readonly assets: Assets;
  /** What was typed of its cost, and what was wrong with that. */
  readonly form: Form | null;
  readonly fault: Fault | null;
}

/** What was just written down, the way to take it back, and what comes next. */
export function WrittenDown({ record, shown, assets, form, fault }: WrittenDownProps) {
  const { machine, outlook, household } = shown;
  const next = outlook.visits.find((visit) => visit.machine === machine.id);
  return (
    <Page title="Written down" assets={assets}>
      <Trouble fault={fault} shown={shown} field={fault === null ? null : (refusedField(fault, null) ?? 'paid')} />
      <h1>It is written down.</h1>
      <RecordLines record={record} shown={shown} form={form} />
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
    </Page>
  );
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
