import { expect, test } from 'vitest';
import { pointsToTick } from '../../src/domain/greased.js';
import { pointsFinding } from '../../src/domain/task.js';
import { gather } from '../../src/ledger/gather.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { pointsName } from '../../src/pages/field-names.js';
import { openPages } from '../stage/open-pages.js';

test('a point that takes no grease is written down with the work, and comes back on the next sheet', async () => {
  const pages = await openPages();
  try {
    const greased = () => {
      for (const visit of pages.outlook().visits) {
        const sheet = sheetOf(pages.books.home(), gather(pages.books), visit);
        const line = sheet?.lines.find(({ kind }) => kind === 'points');
        if (sheet !== null && line?.kind === 'points' && visit.by === 'owner') return { visit, sheet, line };
      }
      throw new Error('nothing is greased');
    };
    const { visit, line } = greased();
    const field = `blocked.${line.task}.${line.points.place}`;
    expect((await pages.get(`/visits/${visit.id}/sheet`)).text).toContain(`name="${field}"`);
    const { status } = await pages.post(`/visits/${visit.id}/sheet`, {
      task: visit.tasks,
      day: pages.outlook().today,
      go: 'record',
      [field]: 'left one',
    });
    expect(status).toBe(303);
    const records = gather(pages.books).machines.flatMap((one) => one.records);
    expect(records[0]?.findings).toEqual([
      expect.objectContaining({ task: line.task, found: 'takes no grease: left one', verdict: null }),
    ]);
    expect(records[0]?.tasks).toContain(line.task);
    pages.passDays(1);
    const again = sheetOf(pages.books.home(), gather(pages.books), { ...visit, tasks: [line.task] });
    expect(JSON.stringify(again?.lines)).toContain('takes no grease: left one. Free it or fit a new fitting.');
  } finally {
    await pages.close();
  }
});

/** A job of the owner with two places or more to grease, and what ticks it. */
async function greaseJob() {
  const pages = await openPages();
  const linesOf = (tasks: readonly string[] | null) =>
    pages.outlook().visits.flatMap((visit) => {
      const asked = tasks === null ? visit : { ...visit, tasks };
      const sheet = visit.by === 'owner' ? sheetOf(pages.books.home(), gather(pages.books), asked) : null;
      return (sheet?.lines ?? []).map((line) => ({ visit, line }));
    });
  const points = linesOf(null).flatMap(({ visit, line }) => (line.kind === 'points' ? [{ visit, line }] : []));
  const job = points.find(({ line }) => points.filter((one) => one.line.task === line.task).length > 1);
  if (job === undefined) throw new Error('no job has two places to grease');
  const { task } = job.line;
  const [first, ...rest] = points.filter((one) => one.line.task === task).map(({ line }) => line);
  if (first === undefined) throw new Error('no place to grease');
  const confirm = async (fields: Record<string, string | readonly string[]>) => {
    const visit = pages.outlook().visits.find(({ tasks }) => tasks.includes(task)) ?? job.visit;
    const all = { held: visit.tasks, day: pages.outlook().today, go: 'record', machine: visit.machine };
    expect((await pages.post(`/visits/${visit.id}/sheet`, { ...all, ...fields })).status).toBe(303);
    return gather(pages.books)
      .machines.find(({ machine }) => machine === visit.machine)
      ?.records.at(-1);
  };
  const nextSheet = () => JSON.stringify(linesOf([task]).map(({ line }) => line));
  return { pages, task, first, rest, confirm, nextSheet };
}

test('who ticks some points of a job is told next time of those that were left out', async () => {
  const { pages, task, first, rest, confirm, nextSheet } = await greaseJob();
  try {
    const record = await confirm({ task: [task], [pointsName(first)]: pointsToTick(first.points) });
    expect(record?.tasks).toContain(task);
    expect(record?.findings.map(({ measurement }) => measurement)).toEqual(
      [first, ...rest].map((line) => pointsFinding(line.points)),
    );
    expect(record?.findings[1]?.found).toMatch(/^greased 0 of \d/);
    pages.passDays(1);
    expect(nextSheet()).toMatch(/Last time, [\d-]+: greased 0 of \d[^.]*\. Begin with what was left out\./);
  } finally {
    await pages.close();
  }
});

test('a job greased on two days has nothing left out: the second day ticks the rest', async () => {
  const { pages, task, first, rest, confirm, nextSheet } = await greaseJob();
  try {
    const begun = await confirm({ [pointsName(first)]: pointsToTick(first.points) });
    expect(begun?.tasks).toEqual([]);
    expect(nextSheet()).toContain('Begin with what was left out.');
    pages.passDays(1);
    const ticks = rest.map((line) => [pointsName(line), pointsToTick(line.points)]);
    const done = await confirm({ task: [task], ...Object.fromEntries(ticks) });
    expect(done?.tasks).toEqual([task]);
    pages.passDays(1);
    expect(nextSheet()).not.toContain('left out');
  } finally {
    await pages.close();
  }
});
