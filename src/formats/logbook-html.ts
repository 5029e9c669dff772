import { dayOf } from '../domain/day.js';
import { type Facts, type MachineFacts, type Noticed, noFacts, type ServiceRecord } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import { usedUpBy } from '../domain/used-up.js';
import { sayMinutes } from '../words/dates.js';
import { sayFinding } from '../words/finding.js';
import { sayNoticedSince, sayWhatItSawTo } from '../words/helped.js';
import { sayReadHours } from '../words/hours.js';
import { sayPaid, saySpending } from '../words/money.js';
import { sayPartlyDone } from '../words/record.js';
import { ended } from '../words/sentence.js';
import { sayUsedUp } from '../words/used-up.js';

/** The logbook of all machines as one page that needs nothing else: for printing, and for whoever takes a machine over.
 *  Every text of a person is escaped; no scripts, nothing from outside.
 *  Source: HTML Living Standard, escaping of text and attribute values. */
export function writeLogbookHtml(home: Home, facts: Facts): string {
  const machines = home.machines.map((machine) => {
    const known = facts.machines.find((m) => m.machine === machine.id) ?? noFacts(machine.id);
    const last = known.readings.at(-1);
    const meter =
      last === undefined
        ? ''
        : `<p>Meter last read on ${dayOf(last.atMs, home.household.zone)}: ${escapeText(sayReadHours(last.hours))}.</p>`;
    const body =
      known.records.length === 0
        ? '<p>Nothing is on record yet.</p>'
        : `<table><thead><tr><th>Day</th><th>Hours</th><th>Work</th><th>Took</th><th>By</th></tr></thead><tbody>${known.records
            .map((record) => rowOf(machine, record, known.noticed, home))
            .join('\n')}</tbody></table>`;
    const spent = saySpending(known.records, home.household.locale);
    const paid = spent === '' ? '' : `<p>Paid, as far as it was written down: ${escapeText(spent)}.</p>`;
    return `<section><h2>${escapeText(machine.name)}</h2>${meter}${body}${paid}${noticedOf(known, home)}</section>`;
  });
  return `<!doctype html>
<html lang="${escapeText(home.household.locale)}">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>Logbook of ${escapeText(home.household.name)}</title>
<style>${style}</style></head>
<body><h1>Logbook of ${escapeText(home.household.name)}</h1>
${machines.join('\n')}
<p class="foot">Hours marked “about” were estimated, not read. Parts and fluids are those of the plan as it is now; where another fluid or amount went in, it stands beside the work. Records that were taken back are left out.</p>
</body></html>
`;
}

const style =
  'body{font:16px/1.5 Georgia,serif;max-width:46rem;margin:2rem auto;padding:0 1rem;color:#222;background:#fff}' +
  'h1,h2,h3{font-weight:normal;overflow-wrap:anywhere}h2{margin-top:2.5rem;border-bottom:1px solid #999}' +
  'table{border-collapse:collapse;width:100%}th,td{text-align:left;vertical-align:top;padding:.35rem .8rem .35rem 0;border-bottom:1px solid #ddd}' +
  'td:first-child,td:nth-child(2){white-space:nowrap}ul{margin:.3rem 0 0;padding-left:1.1rem}.used,.foot{font-size:.85rem}td p{margin:.3rem 0 0}.foot{margin-top:2.5rem}' +
  // On a phone a row is read downwards: day and hours, the work below them, how long and by whom last.
  '@media screen and (max-width:34rem){thead{display:none}table,tbody{display:block}tr{display:block;padding:.5rem 0;border-bottom:1px solid #ddd}' +
  'td{display:inline;padding:0 .7rem 0 0;border:0}td:nth-child(3){display:block;overflow-wrap:anywhere}}' +
  '@media print{section{break-inside:auto}tr{break-inside:avoid}}';

function rowOf(machine: Machine, record: ServiceRecord, noticed: readonly Noticed[], home: Home): string {
  const titleOf = (id: string) => machine.tasks.find((task) => task.id === id)?.title ?? id;
  const said = record.by === null ? '' : (home.household.people.find((p) => p.id === record.by)?.name ?? record.by);
  const about = record.hoursKnown === 'estimated' ? 'about ' : '';
  const hours = record.hours === null ? 'not known' : `${about}${sayReadHours(record.hours)}`;
  const note = record.note === null ? '' : `<p>${escapeText(record.note)}</p>`;
  const findings =
    record.findings.length === 0
      ? ''
      : `<ul>${record.findings.map((f) => `<li>${escapeText(sayFinding(f, machine))}</li>`).join('')}</ul>`;
  const begun = sayPartlyDone(record, machine);
  const work = escapeText([...record.tasks.map(titleOf), ...(begun === '' ? [] : [begun])].join('; '));
  const used = sayUsedUp(usedUpBy(record, machine));
  const sawTo = sayWhatItSawTo(record, noticed)
    .map((sentence) => `<p class="used">${escapeText(sentence)}</p>`)
    .join('');
  const went = used === '' ? '' : `<p class="used">Used, by the plan: ${escapeText(used)}</p>`;
  const cost = sayPaid(record, home.household.locale);
  const paid = cost === '' ? '' : `<p class="used">${escapeText(cost)}</p>`;
  const took = record.minutes === null ? '' : sayMinutes(record.minutes);
  const cells = [
    record.day,
    escapeText(hours),
    `${work}${note}${findings}${sawTo}${went}${paid}`,
    escapeText(took),
    escapeText(said),
  ];
  return `<tr>${cells.map((cell) => `<td>${cell}</td>`).join('')}</tr>`;
}

function noticedOf({ noticed }: MachineFacts, { household }: Home): string {
  if (noticed.length === 0) return '';
  const lines = noticed.map((one) => {
    const day = dayOf(one.atMs, household.zone);
    const since = sayNoticedSince(one, day, household.zone, household.locale);
    return `<li>${day}: ${escapeText(ended(one.text))} ${escapeText(since)}</li>`;
  });
  return `<h3>What was noticed</h3><ul>${lines.join('')}</ul>`;
}

function escapeText(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');
}
