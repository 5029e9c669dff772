import type { Caution } from '../../src/domain/cautions.js';
import { parseDay, parseInstant, parseZone } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import type { NoticeKind } from '../../src/domain/household.js';
import type { Machine } from '../../src/domain/machine.js';
import { meterHours } from '../../src/domain/meter-hours.js';
import type { Due } from '../../src/domain/results/due.js';
import type { Notice } from '../../src/domain/results/notice.js';
import type { Outlook } from '../../src/domain/results/outlook.js';
import type { Sheet } from '../../src/domain/results/sheet.js';
import type { ShoppingItem, Visit } from '../../src/domain/results/visit.js';
import type { Task } from '../../src/domain/task.js';
import type { LetterContext } from '../../src/words/letter.js';

/** An invented household with one tractor and one generator, at six in the evening of Friday 21 March 2031. */
export const today = parseDay('2031-03-21');
const zone = parseZone('Europe/Lisbon');
const nowMs = parseInstant('2031-03-21T18:30', zone);

function task(id: string, title: string, minutes: number, more: Partial<Task> = {}): Task {
  return {
    id,
    title,
    minutes,
    by: 'owner',
    steps: [{ do: title }],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'common practice, no source',
    ...more,
  };
}

export const tractor: Machine = {
  id: 'hill-tractor',
  name: 'Hill tractor',
  planId: 'compact-diesel-tractor',
  has: [],
  covers: [],
  places: [],
  meter: { kind: 'meter', counts: 'engine-speed', changes: [] },
  expect: { hoursPerYear: 90, season: 'spring-autumn' },
  since: parseDay('2029-06-02'),
  gone: false,
  last: {},
  never: {},
  tasks: [
    task('engine-oil', 'Change engine oil and filter', 35, { every: { hours: 150, months: 18 } }),
    task('fan-belt', 'Check the fan belt', 10, { every: { hours: 100 } }),
    task('loader-pins', 'Grease the loader pins', 20, { every: { hours: 10, months: 6 } }),
    task('coolant', 'Test the coolant', 15, { season: { before: 'first-frost', days: 21 } }),
    task('valve-clearance', 'Adjust the valve clearance', 90, { every: { hours: 800 }, by: 'dealer' }),
  ],
};

export const generator: Machine = {
  ...tractor,
  id: 'generator',
  name: 'Generator',
  meter: { kind: 'none' },
  tasks: [task('generator-oil', 'Change the oil', 20, { every: { hours: 50, months: 12 } })],
};

const thing: ShoppingItem = {
  kind: 'part',
  name: 'engine oil filter',
  quantity: 1,
  unit: 'pcs',
  specification: '40-1187',
  inStock: 0,
  toBuy: 1,
  leadDays: 7,
  tasks: ['engine-oil'],
};

/** One thing to buy. */
export function item(more: Partial<ShoppingItem> = {}): ShoppingItem {
  return { ...thing, ...more };
}

/** Of the tractor, tomorrow, with one thing missing. */
export const visit: Visit = {
  id: 'hill-tractor-engine-oil-3',
  machine: tractor.id,
  tasks: ['engine-oil', 'fan-belt', 'loader-pins'],
  leadTask: 'engine-oil',
  pulledForward: ['loader-pins'],
  early: [],
  day: parseDay('2031-03-22'),
  due: { p10: parseDay('2031-03-27'), p50: parseDay('2031-04-08'), p90: parseDay('2031-04-24') },
  minutes: 65,
  shopping: [
    item(),
    item({
      kind: 'fluid',
      name: 'engine oil',
      quantity: 4.2,
      unit: 'L',
      specification: '5W-40',
      inStock: 1,
      toBuy: 3.2,
      leadDays: 3,
    }),
    item({
      kind: 'part',
      name: 'drain plug seal',
      quantity: 2,
      specification: null,
      inStock: 5,
      toBuy: 0,
      leadDays: 0,
    }),
  ],
  buyBy: parseDay('2031-03-14'),
  revision: 1,
  announced: true,
  kind: 'service',
  askOn: null,
  by: 'owner',
  cause: { kind: 'on-time' },
  pLate: 0.02,
};

export const due: Due = {
  machine: tractor.id,
  task: 'engine-oil',
  limit: 'hours',
  day: visit.due,
  curve: null,
  lateCurve: null,
  targetHours: meterHours(400),
  intervalHours: 150,
  toleranceHours: 15,
  calendarDay: null,
  intervalDays: 500,
  lastDay: parseDay('2029-11-04'),
  lastHours: 250,
  countedFrom: null,
  unknownLast: false,
  cycle: 2,
};

export const hotOil: Caution = {
  id: 'hot-oil',
  short: 'hot oil',
  signal: 'WARNING',
  hazard: 'Oil drained from a warm engine scalds.',
  avoid: 'Wear gloves and sleeves, keep your face away from the plug, and let it flow before you reach below.',
  source: 'common practice, no source',
};

const belt: Caution = {
  id: 'belt',
  short: 'running belt',
  signal: 'DANGER',
  hazard: 'A running belt takes fingers with it.',
  avoid: 'Stop the engine and take the key out before a hand goes near.',
  source: 'common practice, no source',
};

const paint: Caution = {
  id: 'paint',
  short: 'oil on the clutch',
  signal: 'NOTICE',
  hazard: 'Oil on the clutch housing makes it slip.',
  avoid: 'Cover it before you drain.',
  source: 'common practice, no source',
};

export const sheet: Sheet = {
  visit,
  machineName: tractor.name,
  minutes: 72,
  head: [],
  tools: ['17 mm socket', 'drain pan', 'filter strap', 'grease gun'],
  shopping: visit.shopping,
  perhaps: [],
  cautions: [paint, hotOil, belt],
  lines: [
    { kind: 'task', task: 'fan-belt', title: 'Check the fan belt', minutes: 10, minutesIfOut: null, why: null },
    {
      kind: 'task',
      task: 'engine-oil',
      title: 'Change engine oil and filter',
      minutes: 35,
      minutesIfOut: null,
      why: null,
    },
    {
      kind: 'task',
      task: 'loader-pins',
      title: 'Grease the loader pins',
      minutes: 20,
      minutesIfOut: null,
      why: 'Early on purpose, to share the visit',
    },
  ],
  comesFirst: 'The manual of your machine comes first.',
  beforeUse: [],
  noticed: ['The lift hums when it holds a load'],
  orderProven: true,
};

export const home: Home = {
  household: {
    name: 'Cork Oak Hollow',
    zone,
    units: 'metric',
    locale: 'en-GB',
    hemisphere: 'north',
    people: [{ id: 'marta', name: 'Marta', mail: 'marta@example.org' }],
    workingDays: ['sat', 'sun'],
    daysOff: [],
    evening: '18:30' as Home['household']['evening'],
    quiet: { from: '21:30' as Home['household']['evening'], to: '07:00' as Home['household']['evening'] },
    address: 'http://shed.example:8377',
    http: { host: '0.0.0.0', port: 8377 },
    backup: { folder: 'data/backups', keep: 14 },
    setUpMinutes: 20,
  },
  machines: [tractor, generator],
};

const noTrace = { atMs: [], p10: [], p50: [], p90: [] };

export const outlook: Outlook = {
  nowMs,
  today,
  factsVersion: 7,
  machines: [
    {
      machine: tractor.id,
      hoursNow: { p10: 379.4, p50: 386.2, p90: 394.1 },
      lastReading: { id: 'r1', atMs: nowMs - 12 * 86_400_000, hours: 380.4, about: false, door: 'page', by: 'marta' },
      aside: [],
      feed: null,
      feedRatio: null,
      dues: [due],
      hoursPerYear: 88,
      trace: noTrace,
      doubt: null,
      toMend: [],
      helpToAsk: [],
    },
    {
      machine: generator.id,
      hoursNow: { p10: 30.2, p50: 38.26, p90: 46 },
      lastReading: null,
      aside: [],
      feed: null,
      feedRatio: null,
      dues: [],
      hoursPerYear: 20,
      trace: noTrace,
      doubt: null,
      toMend: [],
      helpToAsk: [],
    },
  ],
  visits: [visit],
  messages: [],
  nextLookMs: nowMs + 3_600_000,
  problems: [],
};

/** Everything a letter may speak of, with the parts that a test changes. */
export function context(more: Partial<LetterContext> = {}): LetterContext {
  return {
    home,
    outlook,
    sheets: new Map([[visit.id, sheet]]),
    links: {
      visit: (id, person) => `http://shed.example:8377/v/${id}.${person}.c2lnbmVk`,
      sheet: (id) => `http://shed.example:8377/sheet/${id}`,
      reading: (machine, person) => `http://shed.example:8377/r/${machine}.${person}.c2lnbmVk`,
      page: () => 'http://shed.example:8377/',
      opensElsewhere: true,
    },
    ...more,
  };
}

/** A notice about the tractor's visit, to Marta. */
export function notice(kind: NoticeKind, more: Partial<Notice> = {}): Notice {
  return {
    kind,
    to: 'marta',
    machine: tractor.id,
    visit: visit.id,
    tasks: visit.tasks,
    proposedDay: visit.day,
    because: 'The answer decides whether the visit moves.',
    ...more,
  };
}
