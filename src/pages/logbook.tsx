import type { RequestHandler } from 'express';
import { writeLogbookCsv } from '../formats/logbook-csv.js';
import { writeLogbookHtml } from '../formats/logbook-html.js';
import { writeLogbookJson } from '../formats/logbook-json.js';
import { sayMachine } from '../words/machine.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { NoticedList, newestFirst, RecordLines } from './history.js';
import { Page, sendPage } from './layout.js';
import { SpendingLine } from './paid-fields.js';
import { wayToMachine } from './pieces.js';
import { showMachine } from './shown.js';

/** Records on one page: a phone gets them in a moment over a weak signal. */
const pageSize = 25;

/** What was done on a machine, page by page, and the whole of it to print or to keep. */
export function logbookPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    const { machine } = shown;
    const records = newestFirst(shown.facts.records);
    const pages = Math.max(1, Math.ceil(records.length / pageSize));
    const page = pageNumber(request.query.page, pages);
    const address = `/machines/${machine.id}/logbook`;
    sendPage(
      response,
      200,
      <Page title={`Logbook · ${machine.name}`} up={wayToMachine(machine)} assets={assets}>
        <h1>{records.length === 0 ? 'Nothing is on record yet.' : `What was done on ${sayMachine(machine)}.`}</h1>
        <SpendingLine records={records} household={shown.household} />
        <ul class="tasks">
          {records.slice((page - 1) * pageSize, page * pageSize).map((record) => (
            <li>
              <RecordLines record={record} shown={shown} />
            </li>
          ))}
        </ul>
        {pages === 1 ? null : (
          <nav class="acts" aria-label="Pages of the logbook">
            {page === 1 ? null : (
              <a class="act" href={`${address}?page=${page - 1}`}>
                Newer
              </a>
            )}
            <span>
              Page {page} of {pages}
            </span>
            {page === pages ? null : (
              <a class="act" href={`${address}?page=${page + 1}`}>
                Older
              </a>
            )}
          </nav>
        )}
        {shown.facts.noticed.length === 0 || page !== 1 ? null : (
          <section>
            <NoticedList shown={shown} />
          </section>
        )}
        <section class="no-print">
          <h2>To print or to keep</h2>
          <ul class="ways">
            <li>
              <a class="way" href={`${address}/html`}>
                All on one page, to print
              </a>
            </li>
            <li>
              <a class="way" href={`${address}/csv`}>
                As a table (CSV)
              </a>
            </li>
            <li>
              <a class="way" href={`${address}/json`}>
                As plain data (JSON)
              </a>
            </li>
          </ul>
        </section>
      </Page>,
    );
  };
}

/** The whole logbook of one machine as a file. */
export function logbookFile(given: Given): RequestHandler<{ id: string; form: string }> {
  return (request, response) => {
    const { machine } = showMachine(given, request.params.id);
    const home = { ...given.books.home(), machines: [machine] };
    switch (request.params.form) {
      case 'html':
        // It carries its own few rules, so that it looks the same once saved as a file.
        response.set(
          'Content-Security-Policy',
          "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
        );
        response.type('html').send(writeLogbookHtml(home, given.facts()));
        return;
      case 'csv':
        response.attachment(`logbook-${machine.id}.csv`).send(writeLogbookCsv(home, given.facts()));
        return;
      case 'json':
        response.attachment(`logbook-${machine.id}.json`).send(writeLogbookJson(home, given.facts()));
        return;
      default:
        throw pageFault({
          code: 'record-unknown',
          message: 'A logbook has no such form',
          found: JSON.stringify(request.params.form.slice(0, 20)),
          remedy: 'Look at it as html, csv or json.',
        });
    }
  };
}

function pageNumber(asked: unknown, pages: number): number {
  const number = typeof asked === 'string' && /^\d{1,5}$/.test(asked) ? Number(asked) : 1;
  return Math.min(Math.max(1, number), pages);
}
