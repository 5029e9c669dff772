import { formatInstant } from '../domain/day.js';
import { type Facts, type MachineFacts, noFacts, type Span } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import { usedUpBy } from '../domain/used-up.js';

/** Everything that is stored about the machines in the home folder, as plain data for JSON: instants in UTC, days as ISO days.
 *  `used` of a record is what the plan says that its work uses up. Voided facts are left out, and so are letters and secrets.
 *  Source: RFC 8259, ISO 8601. */
export function writeLogbookJson(home: Home, facts: Facts): string {
  const document = {
    kind: 'shedbell-logbook',
    version: 1,
    household: home.household.name,
    timezone: home.household.zone,
    machines: home.machines.map((machine) => ({
      id: machine.id,
      name: machine.name,
      ...stored(facts.machines.find((m) => m.machine === machine.id) ?? noFacts(machine.id), machine),
    })),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function stored(facts: MachineFacts, plan: Machine) {
  return {
    readings: facts.readings.map(at),
    aside: facts.aside.map(at),
    toldRuns: facts.toldRuns.map(at),
    notUsed: facts.notUsed.map((n) => ({ since: formatInstant(n.sinceMs), toldAt: formatInstant(n.toldAtMs) })),
    runs: facts.runs.map(span),
    coverage: facts.coverage.map(span),
    feed:
      facts.feedTotal === null
        ? null
        : {
            runSeconds: facts.feedTotal.runSeconds,
            lastAt: facts.feedTotal.lastAtMs === null ? null : formatInstant(facts.feedTotal.lastAtMs),
          },
    records: facts.records.map(({ enteredAtMs, machine: _machine, ...record }) => ({
      ...record,
      used: usedUpBy(record, plan),
      enteredAt: formatInstant(enteredAtMs),
    })),
    answers: facts.answers.map(at),
    visits: facts.visits.map(({ announcedAtMs, ...visit }) => ({
      ...visit,
      announcedAt: formatInstant(announcedAtMs),
    })),
    notices: facts.sent.map(at),
    noticed: facts.noticed.map(({ seenTo, helped, ...noticed }) => ({
      ...at(noticed),
      seenTo: seenTo === null ? null : at(seenTo),
      helped: helped.map(({ seenToAtMs, ...said }) => ({ ...at(said), seenToAt: formatInstant(seenToAtMs) })),
    })),
    stock: facts.stock,
  };
}

function at<T extends { readonly atMs: number }>({ atMs, ...rest }: T) {
  return { at: formatInstant(atMs), ...rest };
}

function span({ fromMs, toMs }: Span) {
  return { from: formatInstant(fromMs), to: formatInstant(toMs) };
}
