import { afterAll, beforeAll, expect, test } from 'vitest';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';

const home = stageCommandHome({
  'machines/cider-press.yaml': `name: Cider press
plan: cider-press
since: 2030-01-01
meter: { counts: clock, first: { hours: 100, on: 2030-01-01 } }
expect: { hoursPerYear: 20, season: even }
last: fine-as-bought
`,
  'machines/hand-tiller.yaml': `name: Hand tiller
plan: library:small-petrol-engine-tool
since: 2031-08-01
meter: none
has: [four-stroke]
last: unknown
`,
});
const shed = commandsOn(home);

beforeAll(async () => {
  for (const [day, hours] of [
    ['2030-06-01', '183'],
    ['2030-12-01', '283'],
    ['2031-06-01', '383'],
    ['2031-08-20', '427'],
  ] as const)
    expect(await shed('reading', 'cider-press', hours, '--at', day, '--confirm')).toMatchObject({ status: 0 });
});
afterAll(() => removeHome(home));

test('status says where the readings contradict what the file expects of a year', async () => {
  const doubt =
    /^\? The readings of Cider press look like about (?:19|20|21)\d h a year, not 20: dates go by the readings/;
  expect((await shed('status')).lines.filter((line) => doubt.test(line))).toHaveLength(1);
  expect((await shed('status', 'cider-press')).lines.at(-1)).toMatch(doubt);
  expect((await shed('status', 'hand-tiller')).lines.join('\n')).not.toMatch(doubt);
});

test('the sheet of a first look names nothing to buy or to have at hand that is not there yet', async () => {
  const { lines } = await shed('visits');
  const [visit = ''] = /hand-tiller-[\w-]+/.exec(lines.join('\n')) ?? [];
  const sheet = (await shed('sheet', visit)).lines;
  expect(sheet.length).toBeGreaterThan(10);
  expect(sheet.filter((line) => /^(Have at hand|To buy):/.test(line))).toEqual([]);
});
