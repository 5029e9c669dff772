import { expect, test } from 'vitest';
import { openService } from '../../src/daemon/wire.js';
import { parseDay } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';
import { noLog } from '../stage/no-log.js';

const plan = `title: Cider press engine
source: common practice, check your manual
tasks:
  - id: stop-switch
    title: Try the stop switch
    every: { months: 12 }
    minutes: 5
    steps: [{ do: Press it }]
    measure: [{ id: stop, name: stop switch, kind: test, passes: the engine stops }]
    source: common practice, check your manual
  - id: drain
    title: Drain the water jacket
    season: { before: 12-01, days: 10 }
    minutes: 10
    steps: [{ do: Open the cock }]
    source: common practice, check your manual
`;

test('done asks before it writes down work left out of its limits or far from its season; --confirm lets it count', async () => {
  const home = stageCommandHome({
    'plans/cider-press.yaml': plan,
    'machines/hand-tiller.yaml': null,
    'machines/cider-press.yaml': `name: Cider press
plan: cider-press
since: 2031-01-01
meter: { counts: clock, first: { hours: 100, on: 2031-01-01 } }
expect: { hoursPerYear: 60, season: even }
last:
  stop-switch: { day: 2030-09-05 }
  drain: { day: 2030-11-20 }
`,
  });
  try {
    const shed = commandsOn(home);
    const loaded = loadHome(home);
    if (loaded.kind !== 'home') throw new Error(JSON.stringify(loaded));
    const service = openService({
      homeDir: home,
      home: loaded.home,
      clock: { nowMs: () => Date.parse('2031-09-01T12:00:00Z') },
      log: noLog,
    });
    const failed = { task: 'stop-switch', measurement: 'stop', place: null, left: null, verdict: null, note: null };
    const left = confirmVisit(service.books, {
      visit: { id: 'an-earlier-look', machine: 'cider-press', tasks: ['stop-switch'] },
      tasks: null,
      day: parseDay('2031-09-01'),
      hours: null,
      by: null,
      door: 'page',
      note: null,
      minutes: null,
      findings: [{ ...failed, found: 'failed' }],
      key: null,
    });
    expect(left).toMatchObject({ kind: 'recorded', record: { tasks: [] } });
    service.turn();
    const visits = service.latest().visits;
    service.close();
    for (const [task, question] of [
      ['stop-switch', /^question: “Try the stop switch” was found outside its limits today.* --confirm /],
      ['drain', /^question: “Drain the water jacket” is season work for about .* --confirm /],
    ] as const) {
      const id = visits.find((visit) => visit.tasks.includes(task))?.id ?? '';
      const said = ['done', id, '--tasks', task];
      const asked = await shed(...said);
      expect(asked).toMatchObject({ status: 2, lines: [], errors: [expect.stringMatching(question)] });
      const written = await shed(...said, '--confirm');
      expect(written).toMatchObject({ status: 0, errors: [], lines: [expect.stringMatching(/^record-\d/)] });
      // What is on record is asked about no more.
      const again = await shed(...said);
      expect(again).toMatchObject({ status: 0, lines: [expect.stringMatching(/^Already on record: /)] });
    }
  } finally {
    removeHome(home);
  }
});
