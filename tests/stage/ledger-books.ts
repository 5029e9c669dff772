import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { parseDay, parseInstant, parseTimeOfDay, parseZone } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import type { Machine } from '../../src/domain/machine.js';
import type { Notice } from '../../src/domain/results/notice.js';
import type { Outlook } from '../../src/domain/results/outlook.js';
import type { Visit } from '../../src/domain/results/visit.js';
import type { Task } from '../../src/domain/task.js';
import type { Books } from '../../src/ledger/books.js';
import { gather } from '../../src/ledger/gather.js';
import { openStore, type Store, type StoreOptions } from '../../src/store/open.js';
import { shedVisit } from './library-visit.js';

/** Books on a real file in a folder of their own, with a clock that stands until it is set. */
export interface StagedBooks extends Books {
  readonly folder: string;
  readonly file: string;
  setNow(instant: string): void;
  /** Closes and opens again, as after a restart. */
  reopen(options?: StoreOptions): void;
}

export const bookZone = parseZone('Europe/Lisbon');
const firstNow = '2031-04-05T10:00';

function stageTask(id: string, more: Partial<Task> = {}): Task {
  return {
    id,
    title: `Do the ${id}`,
    every: { hours: 100 },
    minutes: 30,
    by: 'owner',
    steps: [{ do: 'Do it' }],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'common practice, no source',
    ...more,
  };
}

export const mower: Machine = {
  id: 'meadow-mower',
  name: 'Meadow mower',
  planId: 'ride-on-petrol-mower',
  has: [],
  covers: [],
  places: [],
  meter: {
    kind: 'meter',
    counts: 'clock',
    first: { hours: 120, atMs: parseInstant('2030-05-01T12:00', bookZone), about: false },
    changes: [],
  },
  expect: { hoursPerYear: 60, season: 'summer' },
  since: parseDay('2030-05-01'),
  gone: false,
  last: {},
  never: {},
  tasks: [
    stageTask('engine-oil', {
      parts: [{ name: 'Oil filter', quantity: 1 }],
      fluids: [{ name: 'Engine oil', quantity: '1.4 L' }],
      measure: [
        {
          id: 'gap',
          name: 'Valve gap',
          specification: { kind: 'range', min: '0.10 mm', max: '0.15 mm' },
          resolution: '0.01 mm',
        },
      ],
    }),
    stageTask('blades'),
    stageTask('air-filter', { parts: [{ name: 'air filter', quantity: 1 }] }),
  ],
};

export const saw: Machine = { ...mower, id: 'wood-saw', name: 'Wood saw', meter: { kind: 'none' } };

export const stagedHome: Home = {
  household: {
    name: 'Alder Lane',
    zone: bookZone,
    units: 'metric',
    locale: 'en-GB',
    hemisphere: 'north',
    people: [
      { id: 'ines', name: 'Ines' },
      { id: 'tomas', name: 'Tomas' },
    ],
    workingDays: ['sat', 'sun'],
    daysOff: [],
    evening: parseTimeOfDay('18:30'),
    quiet: { from: parseTimeOfDay('21:30'), to: parseTimeOfDay('07:00') },
    http: { host: '127.0.0.1', port: 8377 },
    backup: { folder: 'data/backups', keep: 14 },
    setUpMinutes: 20,
  },
  machines: [mower, saw],
};

/** Books that go with the test. */
export function stageBooks(options: StoreOptions & { readonly home?: Home } = {}): StagedBooks {
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-books-'));
  const file = join(folder, 'shedbell.sqlite');
  let nowMs = parseInstant(firstNow, bookZone);
  let store: Store = openStore(file, options);
  onTestFinished(() => {
    store.close();
    rmSync(folder, { recursive: true, force: true });
  });
  return {
    folder,
    file,
    get store() {
      return store;
    },
    home: () => options.home ?? stagedHome,
    clock: { nowMs: () => nowMs },
    setNow: (instant) => {
      nowMs = parseInstant(instant, bookZone);
    },
    reopen: (again = options) => {
      store.close();
      store = openStore(file, again);
    },
  };
}

export function factsAbout(books: Books, machine = mower.id) {
  const facts = gather(books).machines.find((m) => m.machine === machine);
  if (facts === undefined) throw new Error(`no facts about ${machine}`);
  return facts;
}

/** A visit of the mower as the planning proposes it. */
export function stageVisit(id: string, tasks: readonly string[], day = '2031-04-12'): Visit {
  return shedVisit(mower.id, tasks, parseDay(day), { id, minutes: 60, pLate: 0.1 });
}

export function stageOutlook(books: Books, visits: readonly Visit[]): Outlook {
  const nowMs = books.clock.nowMs();
  return {
    nowMs,
    today: parseDay('2031-04-05'),
    factsVersion: books.store.dataVersion(),
    machines: [
      {
        machine: mower.id,
        hoursNow: null,
        lastReading: null,
        aside: [],
        feed: null,
        feedRatio: null,
        dues: [],
        hoursPerYear: null,
        trace: { atMs: [], p10: [], p50: [], p90: [] },
        doubt: null,
        toMend: [],
        helpToAsk: [],
      },
    ],
    visits,
    messages: [],
    nextLookMs: nowMs,
    problems: [],
  };
}

export function stageNotice(visit: Visit, more: Partial<Notice> = {}): Notice {
  return {
    kind: 'work',
    to: 'ines',
    machine: visit.machine,
    visit: visit.id,
    tasks: visit.tasks,
    proposedDay: visit.day,
    because: 'the visit is tomorrow',
    ...more,
  };
}

/** One letter that carries these notices. */
export function stageLetter(...notices: readonly Notice[]) {
  const to = notices[0]?.to ?? 'ines';
  return { message: { to, notices }, letter: { subject: 'Meadow mower', lead: 'It is time.', blocks: [] } };
}
