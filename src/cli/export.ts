import { writeLogbookCsv } from '../formats/logbook-csv.js';
import { writeLogbookHtml } from '../formats/logbook-html.js';
import { writeLogbookJson } from '../formats/logbook-json.js';
import { gather } from '../ledger/gather.js';
import { gatherBesides } from '../ledger/gather-all.js';
import type { At } from './at.js';
import { withService } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';

const formats = { csv: writeLogbookCsv, json: writeLogbookJson, html: writeLogbookHtml } as const;

/** `shedbell export`: all that is stored, in an open format: CSV and HTML hold what a logbook does, JSON the rest as well. */
export async function runExport(at: At, options: { readonly format: string }, out: Output): Promise<number> {
  const write = Object.entries(formats).find(([name]) => name === options.format)?.[1];
  if (write === undefined) {
    throw new BadInput(`--format wants csv, json or html (found ${JSON.stringify(options.format)}).`);
  }
  return withService(at, (service, home) => {
    out.line(write(home, gather(service.books), gatherBesides(service.books)).replace(/\r?\n$/, ''));
    return exitStatus.fine;
  });
}
