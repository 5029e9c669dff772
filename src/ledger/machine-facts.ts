import type { Zone } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import { announcedVisits } from '../domain/visit-state.js';
import { answersOf } from '../store/facts/answers.js';
import { asideReadingsOf } from '../store/facts/aside.js';
import { coverageOf } from '../store/facts/coverage.js';
import { feedTotalsOf } from '../store/facts/feed-totals.js';
import { notUsedOf } from '../store/facts/not-used.js';
import { noticedBy } from '../store/facts/noticed.js';
import { lateUnheardOf, noticesOf } from '../store/facts/notices.js';
import { readingsOf } from '../store/facts/readings.js';
import { recordsOf } from '../store/facts/records.js';
import { runsOf } from '../store/facts/runs.js';
import { stockOf } from '../store/facts/stock.js';
import { toldRunsOf } from '../store/facts/told-runs.js';
import { visitsOf } from '../store/facts/visits.js';
import type { Store } from '../store/open.js';

/** Everything stored about these machines, in their order; one statement a kind of fact, however many machines. */
export function factsOf(store: Store, machines: readonly string[], zone: Zone): readonly MachineFacts[] {
  const readings = readingsOf(store, machines);
  const aside = asideReadingsOf(store, machines);
  const toldRuns = toldRunsOf(store, machines);
  const notUsed = notUsedOf(store, machines);
  const runs = runsOf(store, machines);
  const coverage = coverageOf(store, machines);
  const totals = feedTotalsOf(store, machines);
  const records = recordsOf(store, machines);
  const answers = answersOf(store, machines);
  const visits = visitsOf(store, machines);
  const notices = noticesOf(store, machines);
  const lateUnheard = lateUnheardOf(store, machines);
  const noticed = noticedBy(store, machines);
  const stock = stockOf(store, machines);
  return machines.map((machine) => {
    const done = records.get(machine) ?? [];
    const answered = answers.get(machine) ?? [];
    return {
      machine,
      readings: readings.get(machine) ?? [],
      aside: aside.get(machine) ?? [],
      toldRuns: toldRuns.get(machine) ?? [],
      notUsed: notUsed.get(machine) ?? [],
      runs: runs.get(machine) ?? [],
      coverage: coverage.get(machine) ?? [],
      feedTotal: totals.get(machine)?.[0] ?? null,
      records: done,
      answers: answered,
      visits: announcedVisits(visits.get(machine) ?? [], done, answered, zone),
      sent: notices.get(machine) ?? [],
      lateUnheard: lateUnheard.get(machine) ?? [],
      noticed: noticed.get(machine) ?? [],
      stock: Object.fromEntries((stock.get(machine) ?? []).map((item) => [item.name, item.amount])),
    };
  });
}
