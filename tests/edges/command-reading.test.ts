import { parse } from 'csv-parse/sync';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { commandsOn, now, removeHome, stageCommandHome } from '../stage/command.js';

let home = '';
let shed: ReturnType<typeof commandsOn>;
beforeEach(() => {
  home = stageCommandHome();
  shed = commandsOn(home);
});
afterEach(() => removeHome(home));

/** What counts, as the export tells it: instants and hours of the readings, oldest first. */
async function counted(): Promise<readonly (readonly [string, string])[]> {
  const { lines } = await shed('export', '--format', 'csv');
  const rows: Record<string, string>[] = parse(lines.join('\n'), { columns: true });
  return rows.filter((row) => row.kind === 'reading').map((row) => [row.at ?? '', row.hours ?? ''] as const);
}
const enter = (hours: string, ...options: string[]) => shed('reading', 'cider-press', hours, ...options);

describe('reading', () => {
  test('is written down as typed, at the moment of --now', async () => {
    expect(await enter('131.25')).toEqual({
      status: 0,
      lines: ['Cider press: 131.25 h is written down as reading-1; take it back: shedbell undo reading-1'],
      errors: [],
    });
    // Lisbon is an hour ahead of UTC in September.
    expect(await counted()).toEqual([['2031-09-01T17:00:00Z', '131.25']]);
  });

  test('a decimal comma is a point', async () => {
    expect(await enter('131,5')).toMatchObject({ status: 0 });
    expect((await counted())[0]?.[1]).toBe('131.5');
  });

  test.each([
    ['2031-07-14T06:30:00Z', '2031-07-14T06:30:00Z'],
    ['2031-07-14T06:30+02:00', '2031-07-14T04:30:00Z'],
    ['2031-07-14T06:30', '2031-07-14T05:30:00Z'],
    ['2031-07-14', '2031-07-13T23:00:00Z'],
    ['2031-02-14', '2031-02-14T00:00:00Z'],
    ['2031-07-14T06:30:15.900Z', '2031-07-14T06:30:15Z'],
  ])('--at %s is household time where it names no offset: %s', async (at, instant) => {
    expect(await enter('120', '--at', at)).toMatchObject({ status: 0 });
    expect(await counted()).toEqual([[instant, '120']]);
  });

  test('the same reading twice counts once', async () => {
    await enter('120', '--at', '2031-07-14');
    expect(await enter('120', '--at', '2031-07-14')).toMatchObject({
      status: 0,
      lines: [expect.stringContaining('it counts once')],
    });
    expect(await counted()).toHaveLength(1);
  });

  test('readings out of order count where they fit', async () => {
    for (const [hours, at] of [
      ['140', '2031-08-20'],
      ['110', '2031-03-01'],
      ['125', '2031-06-01'],
    ] as const) {
      expect(await enter(hours, '--at', at)).toMatchObject({ status: 0 });
    }
    expect((await counted()).map(([, hours]) => hours)).toEqual(['110', '125', '140']);
  });

  test.each([
    ['99.9', [], /backwards/],
    ['120', ['--at', '2031-09-02'], /future/],
    ['120', ['--at', '2031-09-01T18:10'], /future/],
    ['5976.2', [], /more than 24 hours a day/],
    ['148.3', ['--at', '2031-01-03'], /more than 24 hours a day/],
  ])('%s %j is refused, with --confirm too, and leaves nothing', async (hours, options, words) => {
    for (const confirm of [[], ['--confirm']]) {
      const { status, lines, errors } = await enter(hours, ...options, ...confirm);
      expect({ status, lines, count: errors.length }).toEqual({ status: 2, lines: [], count: 1 });
      expect(errors[0]).toMatch(words);
      expect(errors[0]).not.toMatch(/^question:/);
    }
    expect(await counted()).toEqual([]);
  });

  test('24 h a day and a tenth more is what a rounding meter can show', async () => {
    expect(await enter('148.2', '--at', '2031-01-03', '--confirm')).toMatchObject({ status: 0 });
  });

  test('a questionable one is a question on standard error, is kept aside, and counts with --confirm', async () => {
    const asked = await enter('1312');
    expect(asked).toEqual({
      status: 2,
      lines: [],
      errors: [expect.stringMatching(/^question: .*Did you mean 131\.2 h\?/)],
    });
    expect(await counted()).toEqual([]);
    // The service knows of it, and asks once.
    await enter('1312');
    expect(JSON.parse((await shed('status', '--json')).lines[0] ?? '').machines[0].lastReading).toBeNull();
    expect(await enter('1312', '--confirm')).toMatchObject({ status: 0, errors: [] });
    expect((await counted()).map(([, hours]) => hours)).toEqual(['1312']);
  });

  test('what follows a refused or questionable one is judged by what counts', async () => {
    await enter('1312');
    await enter('90');
    expect(await enter('131.2')).toMatchObject({ status: 0 });
    expect((await counted()).map(([, hours]) => hours)).toEqual(['131.2']);
  });

  test('a new reading narrows and moves what status says', async () => {
    const press = async () =>
      JSON.parse((await shed('status', '--json', '--now', '2031-09-02')).lines[0] ?? '').machines[0];
    const before = await press();
    await enter('146', '--at', now);
    const after = await press();
    expect(after.hoursNow.p90 - after.hoursNow.p10).toBeLessThan(before.hoursNow.p90 - before.hoursNow.p10);
    expect(after.lastReading).toEqual({ at: '2031-09-01T17:00:00Z', hours: 146 });
  });

  test('--json is one document with the id, also for what is kept aside', async () => {
    const moment = ['--at', '2031-06-01T18:00'] as const;
    const said = await enter('120', ...moment, '--json');
    expect(said).toMatchObject({ status: 0, errors: [] });
    expect(said.lines.map((line) => JSON.parse(line))).toEqual([
      { kind: 'counted', id: 'reading-1', machine: 'cider-press', at: '2031-06-01T17:00:00Z', hours: 120 },
    ]);
    const again = await enter('120', ...moment, '--json');
    expect(JSON.parse(again.lines[0] ?? '')).toMatchObject({ kind: 'already', id: 'reading-1' });
    const asked = await enter('1312', '--json');
    expect(asked).toMatchObject({ status: 2, errors: [expect.stringMatching(/^question: /)] });
    expect(JSON.parse(asked.lines.join('\n'))).toMatchObject({ kind: 'aside', id: 'aside-1', suggestionHours: 131.2 });
    expect(await enter('12', '--json')).toMatchObject({ status: 2, lines: [] });
  });

  test('the right number after a questionable one answers its question, and says so', async () => {
    await enter('1312');
    const aside = async () => JSON.parse((await shed('export')).lines.join('\n')).machines[0].aside;
    expect(await aside()).toHaveLength(1);
    expect((await enter('131.2')).lines).toEqual([
      expect.stringContaining('reading-1'),
      'It answers the question about 1,312 h.',
    ]);
    expect(await aside()).toEqual([]);
  });

  test('a machine without a meter is told what to do instead, and where', async () => {
    const { status, errors } = await shed('reading', 'hand-tiller', '12');
    expect(status).toBe(2);
    expect(errors).toEqual([
      expect.stringMatching(/no hour meter.*how long it ran.*http:\/\/localhost:8377\/machines\/hand-tiller\/reading/),
    ]);
  });
});

describe('undo of a reading', () => {
  test('takes it back once: it counts no longer, and a right one of the same moment can follow', async () => {
    await enter('146');
    expect(await shed('undo', 'reading-1')).toEqual({
      status: 0,
      lines: ['reading-1 is taken back: 146 h, 1 September at 18:00. It no longer counts.'],
      errors: [],
    });
    expect(await counted()).toEqual([]);
    expect(await shed('undo', 'reading-1')).toMatchObject({
      status: 0,
      lines: ['reading-1 was taken back before.'],
    });
    expect(await enter('141')).toMatchObject({ status: 0, lines: [expect.stringContaining('reading-2')] });
    expect((await counted()).map(([, hours]) => hours)).toEqual(['141']);
  });

  test('names the records that took over its hours', async () => {
    await enter('146');
    const visit = JSON.parse((await shed('visits', '--json')).lines[0] ?? '').visits[0].id;
    await shed('done', visit);
    const { lines } = await shed('undo', 'reading-1');
    expect(lines[1]).toMatch(/^record-1 tells the same hours.*shedbell undo record-1/);
  });

  test('a reading that came with a record is taken back by the record, which is named', async () => {
    await enter('146', '--at', '2031-08-30');
    const visit = JSON.parse((await shed('visits', '--json')).lines[0] ?? '').visits[0].id;
    await shed('done', visit, '--hours', '147');
    expect(await shed('undo', 'reading-2')).toMatchObject({
      status: 2,
      errors: [expect.stringMatching(/record-1/)],
    });
    expect((await counted()).map(([, hours]) => hours)).toEqual(['146', '147']);
  });

  test('the first meter value is the owner\u2019s to change, in the file that is named', async () => {
    expect(await shed('undo', 'cider-press')).toMatchObject({
      status: 2,
      errors: [expect.stringContaining('machines/cider-press.yaml')],
    });
  });

  test.each(['reading-9', 'run-9', 'answer-9', 'aside-9', 'not-used-9', 'nonsense'])(
    '%s, which nobody entered, is one line that says what ids look like',
    async (id) => {
      const { status, lines, errors } = await shed('undo', id);
      expect({ status, lines, count: errors.length }).toEqual({ status: 2, lines: [], count: 1 });
      expect(errors[0]).toContain('reading-7');
    },
  );

  test('a question is forgotten by its id', async () => {
    await enter('1312');
    expect(await shed('undo', 'aside-1')).toMatchObject({ status: 0, lines: ['aside-1 is forgotten.'] });
    expect(JSON.parse((await shed('export')).lines.join('\n')).machines[0].aside).toEqual([]);
  });

  test('without an id it says where ids come from; so do sheet and done', async () => {
    expect((await shed('undo')).errors).toEqual([expect.stringMatching(/missing required argument 'id'.*reading-7/)]);
    for (const name of ['sheet', 'done']) {
      expect((await shed(name)).errors).toEqual([expect.stringMatching(/missing required argument.*shedbell visits/)]);
    }
  });
});
