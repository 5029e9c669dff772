import { expect, test } from 'vitest';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { openPages } from '../stage/open-pages.js';

test.each([
  ['metric', '17 mm'],
  ['us', '0.66 in'],
] as const)(
  'a measurement that draws near its limit stands on the machine’s page and beside its field on the sheet, in %s units',
  async (units, drift) => {
    const pages = await openPages({ units }, false, (home) => ({
      ...home,
      machines: home.machines.map((machine) => ({
        ...machine,
        tasks: machine.tasks.map((task) => ({
          ...task,
          measure: [
            ...task.measure,
            { id: 'wear-of-ours', name: 'wear', specification: { kind: 'atMost' as const, max: '9 mm' } },
          ],
        })),
      })),
    }));
    try {
      const visit = pages.outlook().visits.find(({ machine, by }) => machine === 'bank-tractor' && by === 'owner');
      const [task] = visit?.tasks ?? [];
      if (visit === undefined || task === undefined) throw new Error('the tractor has a visit of its own');
      for (const [hours, value] of [
        [386, '4 mm'],
        [392, '5 mm'],
        [398, '6 mm'],
      ] as const) {
        const answer = confirmVisit(pages.books, {
          visit: { id: `${task}-at-${hours}`, machine: visit.machine, tasks: [task] },
          tasks: [task],
          day: pages.outlook().today,
          hours,
          confirm: true,
          by: null,
          door: 'page',
          note: null,
          minutes: null,
          findings: [
            { task, measurement: 'wear-of-ours', place: null, found: value, left: null, verdict: null, note: null },
          ],
          key: null,
        });
        if (answer.kind !== 'recorded') throw new Error(JSON.stringify(answer));
        pages.passDays(30);
      }
      // 1 mm in 6 h, 3 mm still to go from 398 h.
      const machine = (await pages.get('/machines/bank-tractor')).text
        .replace(/<[^>]*>/g, '')
        .replaceAll('\u00a0', ' ');
      expect(machine).toContain(`${drift} more every 100 h`);
      expect(machine).toContain('likely out of range at about 416 h');
      const next = pages.outlook().visits.find((one) => one.machine === visit.machine && one.tasks.includes(task));
      const sheet = (await pages.get(`/visits/${next?.id}/sheet`)).text.replaceAll('\u00a0', ' ');
      expect(sheet).toContain(
        `3 values since 386 h: about ${drift} more every 100 h; likely out of range at about 416 h`,
      );
    } finally {
      await pages.close();
    }
  },
);
