import { formatInstant } from '../domain/day.js';
import { type Facts, type MachineFacts, noFacts, type Paid, type Span } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import { plainAmount } from '../domain/money.js';
import type { Night } from '../domain/night.js';
import type { Letter } from '../domain/results/letter.js';
import { usedUpBy } from '../domain/used-up.js';

/** What is stored besides the facts of the machines in the home folder. */
interface BesidesMachines {
  /** Machines whose file was taken away. */
  readonly formerly: readonly MachineFacts[];
  readonly nights: readonly Night[];
  readonly letters: readonly SentLetter[];
}

/** A letter as it was written; links in it are secrets and stay behind. */
interface SentLetter {
  readonly id: string;
  readonly to: string;
  readonly channel: string;
  readonly state: string;
  readonly writtenAtMs: number;
  readonly letter: Letter;
}

/** Everything that is stored about the machines in the home folder, as plain data for JSON: instants in UTC, days as ISO days.
 *  `used` of a record is what the plan says that its work uses up, `paid` what the person said that it cost; it is left out where nobody
 *  did. Voided facts are left out, and so are secrets.
 *  @param besides  where all of the books is wanted, and not the logbooks alone
 *  Source: RFC 8259, ISO 8601. */
export function writeLogbookJson(home: Home, facts: Facts, besides?: BesidesMachines): string {
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
    ...(besides === undefined ? {} : restOf(facts, besides)),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function restOf(facts: Facts, { formerly, nights, letters }: BesidesMachines) {
  return {
    formerMachines: formerly.map((machine) => ({ id: machine.machine, ...stored(machine, { tasks: [] }) })),
    householdNotices: facts.householdSent.map(at),
    nights,
    letters: letters.map(({ id, to, channel, state, writtenAtMs, letter }) => ({
      id,
      to,
      channel,
      state,
      writtenAt: formatInstant(writtenAtMs),
      subject: letter.subject,
      lead: letter.lead,
      blocks: letter.blocks.filter((block) => block.kind !== 'link'),
    })),
  };
}

function stored(facts: MachineFacts, plan: Pick<Machine, 'tasks'>) {
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
    records: facts.records.map(({ enteredAtMs, machine: _machine, paid, ...record }) => ({
      ...record,
      used: usedUpBy(record, plan),
      enteredAt: formatInstant(enteredAtMs),
      ...(paid === undefined ? {} : { paid: paidDocument(paid) }),
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

function paidDocument({ id, money, what, atMs, by }: Paid) {
  const { currency, minor } = money;
  return { id, amount: plainAmount(money), currency, minorUnits: minor, what, by, at: formatInstant(atMs) };
}
