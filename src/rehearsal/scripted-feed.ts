import { addDays, type Day, dayOf, instantOf, startOfDay, type Zone } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import type { Books } from '../ledger/books.js';
import { enterRuns } from '../ledger/enter-runs.js';
import type { Errand } from './errands.js';
import type { TrueHours } from './truth/true-hours.js';

/** What a run-time sensor tells of the days on which it is alive: the true runs, and that it was alive. It is written down
 *  each evening, before anything is said.
 *  @param alive  whole days, from the first to the last of which it is heard */
export function scriptedFeed(books: Books, machine: string, meter: TrueHours, alive: ReadonlySet<Day>): Errand[] {
  const { zone, evening } = books.home().household;
  const [first] = [...alive].sort();
  if (first === undefined) return [];
  let toldMs = startOfDay(first, zone);
  let seconds = 0;

  const tell = (untilMs: number) => {
    const told = { fromMs: toldMs, toMs: untilMs };
    toldMs = untilMs;
    const days = daysIn(told, zone).filter((day) => alive.has(day));
    const coverage = days.flatMap((day) =>
      overlap({ fromMs: startOfDay(day, zone), toMs: startOfDay(addDays(day, 1), zone) }, told),
    );
    if (coverage.length === 0) return;
    const runs = days.flatMap((day) => meter.runsOn(day).flatMap((run) => overlap(run, told)));
    seconds += runs.reduce((sum, run) => sum + (run.toMs - run.fromMs) / 1000, 0);
    const lastAtMs = coverage.at(-1)?.toMs ?? untilMs;
    enterRuns(books, machine, { runs, coverage, total: { runSeconds: seconds, lastAtMs } });
  };

  // What is left of an alive day after its evening is told on the next.
  const evenings = new Set([...alive].flatMap((day) => [day, addDays(day, 1)]));
  return [...evenings].sort().map((day) => {
    const atMs = instantOf(day, evening, zone);
    return { atMs, run: () => tell(atMs) };
  });
}

function daysIn(span: Span, zone: Zone): Day[] {
  const days: Day[] = [];
  const last = dayOf(span.toMs - 1, zone);
  for (let day = dayOf(span.fromMs, zone); day <= last; day = addDays(day, 1)) days.push(day);
  return days;
}

function overlap(a: Span, b: Span): Span[] {
  const span = { fromMs: Math.max(a.fromMs, b.fromMs), toMs: Math.min(a.toMs, b.toMs) };
  return span.toMs > span.fromMs ? [span] : [];
}
