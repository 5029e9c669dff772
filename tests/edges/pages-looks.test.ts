import { expect, test } from 'vitest';
import type { SheetLine } from '../../src/domain/results/sheet.js';
import { lookEntriesOf } from '../../src/domain/specification.js';
import { pointsFinding } from '../../src/domain/task.js';
import { gather } from '../../src/ledger/gather.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { allSoundName, findingName, pointsName } from '../../src/pages/field-names.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

/** The first sheet of the owner that fits, with the lines that make it fit. */
function sheetWith<T extends SheetLine>(pages: OpenPages, fits: (lines: readonly SheetLine[]) => readonly T[]) {
  for (const visit of pages.outlook().visits) {
    const sheet = visit.by === 'owner' ? sheetOf(pages.books.home(), gather(pages.books), visit) : null;
    const lines = sheet === null ? [] : fits(sheet.lines);
    if (lines.length > 0) return { visit, lines };
  }
  throw new Error('no such sheet');
}

type Measured = Extract<SheetLine, { readonly kind: 'measurement' }>;
type Greased = Extract<SheetLine, { readonly kind: 'points' }>;

const isLook = (line: SheetLine): line is Measured =>
  line.kind === 'measurement' && line.measurement.specification.kind === 'look';

test('one tap says of all places of a job that they are sound; a place chosen apart keeps its own word', async () => {
  const pages = await openPages();
  try {
    const { visit, lines } = sheetWith(pages, (all) => {
      const looks = all.filter(isLook);
      const several = looks.find(({ measurement }) => (measurement.places?.length ?? 1) > 1);
      return several === undefined ? [] : looks.filter(({ task }) => task === several.task);
    });
    const [first] = lines;
    if (first === undefined) throw new Error('nothing is looked at');
    const tap = allSoundName(first.task);
    const page = (await pages.get(`/visits/${visit.id}/sheet`)).text;
    expect(page.split(`name="${tap}"`)).toHaveLength(2);
    const places = lines.flatMap((line) =>
      (line.measurement.places ?? [null]).map((place, index) => ({ line, place, index })),
    );
    expect(page).toContain(`All ${places.length} places looked at, all sound.`);
    const odd = places.at(-1);
    if (odd === undefined) throw new Error('no place');
    const { status } = await pages.post(`/visits/${visit.id}/sheet`, {
      task: visit.tasks,
      day: pages.outlook().today,
      go: 'record',
      [tap]: 'yes',
      [findingName(odd.line, odd.index, 'found')]: 'damp',
    });
    expect(status).toBe(303);
    const records = gather(pages.books).machines.flatMap((one) => one.records);
    expect(records[0]?.findings).toEqual(
      places.map(({ line, place }) => {
        const { specification } = line.measurement;
        const sound = specification.kind === 'look' ? lookEntriesOf(specification)[0] : null;
        const isOdd = line === odd.line && place === odd.place;
        return expect.objectContaining({
          measurement: line.measurement.id,
          place,
          found: isOdd ? 'damp' : sound,
          verdict: isOdd ? 'too close to call' : 'in',
        });
      }),
    );
  } finally {
    await pages.close();
  }
});

test('grease points that were ticked are recorded by count and side, and the logbook shows them', async () => {
  const pages = await openPages();
  try {
    const { visit, lines } = sheetWith(pages, (all) =>
      all.filter((line): line is Greased => line.kind === 'points' && line.points.sides === 'both'),
    );
    const [line] = lines;
    if (line === undefined) throw new Error('nothing is greased');
    const form = {
      task: visit.tasks,
      day: pages.outlook().today,
      [pointsName(line)]: ['left 1', 'right 1'],
      [`blocked.${line.task}.${line.points.place}`]: 'the last one',
    };
    const looked = (await pages.post(`/visits/${visit.id}/sheet`, { ...form, go: 'look' })).text;
    expect(looked.match(/value="(?:left|right) 1" checked/g)).toHaveLength(2);
    expect((await pages.post(`/visits/${visit.id}/sheet`, { ...form, go: 'record' })).status).toBe(303);
    const kept = `greased 1 of ${line.points.count} left, 1 of ${line.points.count} right; takes no grease: the last one`;
    const records = gather(pages.books).machines.flatMap((one) => one.records);
    const told = records[0]?.findings.filter(({ task }) => task === line.task) ?? [];
    expect(records[0]?.findings).toEqual(told);
    expect(told).toContainEqual(
      expect.objectContaining({ measurement: pointsFinding(line.points), found: kept, verdict: null }),
    );
    // Where some points of a job are ticked, those that are not were not greased.
    const others = told.filter(({ measurement }) => measurement !== pointsFinding(line.points));
    expect(others.length).toBeGreaterThan(0);
    for (const { found } of others) expect(found).toMatch(/^greased 0 of \d( left, 0 of \d right)?$/);
    expect((await pages.get(`/machines/${visit.machine}/logbook`)).text).toContain(kept);
    const again = sheetOf(pages.books.home(), gather(pages.books), { ...visit, tasks: [line.task] });
    expect(JSON.stringify(again?.lines)).toContain(': takes no grease: the last one. Free it or fit a new fitting.');
  } finally {
    await pages.close();
  }
});

test('points of a job that is not ticked are on record as partly done, and the job stays due', async () => {
  const pages = await openPages();
  try {
    const { visit, lines } = sheetWith(pages, (all) =>
      all.filter((line): line is Greased => line.kind === 'points' && line.points.sides === 'both'),
    );
    const [line] = lines;
    if (line === undefined) throw new Error('nothing is greased');
    const form = { day: pages.outlook().today, [pointsName(line)]: ['left 1'], go: 'record' };
    const sent = await pages.post(`/visits/${visit.id}/sheet`, form);
    expect(sent.status).toBe(303);
    const records = gather(pages.books).machines.flatMap((one) => one.records);
    expect(records[0]?.tasks).toEqual([]);
    expect(records[0]?.findings[0]).toMatchObject({ task: line.task, verdict: null });
    expect((await pages.get(`/machines/${visit.machine}/logbook`)).text).toMatch(/partly done and still due: /i);
    expect((await pages.get(`/machines/${visit.machine}`)).text).not.toMatch(/found outside its limits/);
    expect(pages.outlook().visits.some((one) => one.tasks.includes(line.task))).toBe(true);
  } finally {
    await pages.close();
  }
});
