// Years of a household lived in one go by the service's own turn, ledger, database and letters on a driven clock: one machine with a
// feed, one laid up each winter, one read by hand; once in a northern and once in a southern zone that both change their clocks, each in
// a process of its own. Prints a row a year and fails where something that must hold does not.
// Run after a build: node tests/torture/soak.mjs [years] [zone]
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import Database from 'better-sqlite3';
import { bookProblems } from '../../dist/daemon/problems.js';
import { openService } from '../../dist/daemon/wire.js';
import { addDays, dayOf, parseDay, startOfDay } from '../../dist/domain/day.js';
import { loadHome } from '../../dist/home/load-home.js';
import { liveThrough } from '../../dist/rehearsal/live-through.js';
import { defaultHabits } from '../../dist/rehearsal/person/habits.js';
import { seededRandom } from '../../dist/rehearsal/random.js';
import { scriptedFeed } from '../../dist/rehearsal/scripted-feed.js';
import { simulatedClock } from '../../dist/rehearsal/simulated-clock.js';
import { firstHours, stageHome } from '../../dist/rehearsal/stage-home.js';
import { trueHours } from '../../dist/rehearsal/truth/true-hours.js';

const demoHome = fileURLToPath(new URL('../../demo-data/home', import.meta.url));
const hemispheres = new Map([
  ['Europe/Lisbon', 'north'],
  ['Australia/Hobart', 'south'],
]);
/** Of the demo household: the first has the sensor, the second is laid up. */
const chosenMachines = ['paddock-mower', 'hedge-cutter', 'shed-generator'];
/** A leap year, so that the short version meets 29 February as well. */
const firstYear = 2028;
/** Memory of the last year against that of the second. */
const mostMemoryRatio = 1.5;
/** What the file gains in the last year against the second: the same life leaves the same traces. */
const mostGrowthRatio = 1.5;
const mb = 1024 * 1024;

const years = Number(process.argv[2] ?? 10);
const zone = process.argv[3];
if (!Number.isInteger(years) || years < 1)
  throw new Error(`years must be a whole number from 1, not ${process.argv[2]}`);
if (zone === undefined) for (const each of hemispheres.keys()) await inItsOwnProcess(each);
else await soak(zone);

function inItsOwnProcess(each) {
  const child = spawn(process.execPath, [fileURLToPath(import.meta.url), String(years), each], { stdio: 'inherit' });
  return new Promise((done) => {
    child.on('exit', (status) => {
      if (status !== 0) process.exitCode = 1;
      done();
    });
  });
}

async function soak(where) {
  const hemisphere = hemispheres.get(where);
  if (hemisphere === undefined)
    throw new Error(`zone must be one of ${[...hemispheres.keys()].join(', ')}, not ${where}`);
  const broken = [];
  const from = parseDay(`${firstYear}-01-01`);
  const to = parseDay(`${firstYear + years - 1}-12-31`);
  const { home, fed, laidUp } = homeIn(where, hemisphere, from);
  const homeDir = mkdtempSync(join(tmpdir(), 'shedbell-soak-'));
  const clock = simulatedClock(startOfDay(from, where));
  let warnings = 0;
  const log = {
    error: (...said) => broken.push(`an error was logged on ${dayOf(clock.nowMs(), where)}: ${JSON.stringify(said)}`),
    warn: () => {
      warnings += 1;
    },
    info: () => {},
    debug: () => {},
  };
  const service = openService({ homeDir, home, clock, log });
  try {
    const truth = new Map(
      home.machines.map((machine, index) => {
        const usage = usageOf(index, from, to, hemisphere, machine.id === laidUp);
        return [machine.id, trueHours(usage, firstHours(machine), from, to, where)];
      }),
    );
    const gc = collector();
    const rows = [];
    const turnedOn = new Set();
    let year = firstYear;
    let letters = 0;
    let startedMs = performance.now();
    let seen = null;
    const endYear = () => {
      gc();
      const { rss, heapUsed } = process.memoryUsage();
      const { check, kb } = lookInto(service.books.store.file);
      const problems = bookProblems(service.books, seen.machines).length + seen.problems.length;
      const seconds = (performance.now() - startedMs) / 1000;
      if (check !== 'ok') broken.push(`integrity_check at the end of ${year}: ${check}`);
      const row = {
        year,
        rss: rss / mb,
        heap: heapUsed / mb,
        kb,
        letters,
        problems,
        warnings,
        seconds,
      };
      if (rows.length === 0)
        console.log(
          `\n${where}: ${Object.keys(row)
            .map((name) => name.padStart(9))
            .join('')}`,
        );
      rows.push(row);
      const cells = Object.entries(row).map(([name, n]) =>
        n.toFixed(['rss', 'heap', 'seconds'].includes(name) ? 1 : 0).padStart(9),
      );
      console.log(`${' '.repeat(where.length + 2)}${cells.join('')}`);
      [year, letters, warnings, startedMs] = [year + 1, 0, 0, performance.now()];
    };
    await liveThrough({
      books: service.books,
      policy: {
        turn() {
          const { posted, nextLookMs, outlook } = service.turn();
          letters += posted;
          turnedOn.add(dayOf(clock.nowMs(), where));
          if (outlook !== seen) for (const path of notFinite(outlook, 'outlook')) broken.push(`${path} is no number`);
          seen = outlook;
          return { posted, nextLookMs, visits: outlook.visits };
        },
      },
      deliver: () => service.deliver(),
      clock,
      truth,
      habits: defaultHabits,
      heeds: ['work', 'late'],
      from,
      to,
      errands: [
        ...scriptedFeed(service.books, fed, truth.get(fed), new Set(daysFrom(from, to))),
        ...restEachWinter(service, home, laidUp, hemisphere, where),
      ],
      stopping: new AbortController().signal,
      tell: (nowMs) => {
        if (Number(dayOf(nowMs, where).slice(0, 4)) > year) endYear();
      },
    });
    endYear();
    for (const day of daysFrom(from, to)) {
      if (day.endsWith('-02-29') && !turnedOn.has(day)) broken.push(`no turn was taken on ${day}`);
    }
    broken.push(...outgrown(rows));
  } finally {
    service.close();
    rmSync(homeDir, { recursive: true, force: true });
  }
  console.log(`${where}: ${years} ${years === 1 ? 'year' : 'years'}, ${broken.length} broken invariants`);
  for (const line of broken.slice(0, 20)) console.log(`  ${line}`);
  if (broken.length > 0) process.exitCode = 1;
}

/** Three machines of the demo household, moved to the zone: the first with a sensor, the second laid up in winter. */
function homeIn(where, hemisphere, from) {
  const loaded = loadHome(demoHome);
  if (loaded.kind !== 'home') throw new Error(loaded.faults.map((fault) => fault.line).join('\n'));
  const household = { ...loaded.home.household, zone: where, hemisphere };
  const chosen = {
    household,
    machines: chosenMachines.map((id) => loaded.home.machines.find((machine) => machine.id === id)),
  };
  const staged = stageHome(chosen, from, null, true);
  const [first, second] = staged.machines;
  const machines = staged.machines.map((machine, index) => {
    const { feed, ...rest } = machine;
    return index === 0 ? { ...rest, feed } : rest;
  });
  return { home: { ...staged, machines }, fed: first.id, laidUp: second.id };
}

/** Somebody lays the machine up each winter and takes it out again, by its file. */
function restEachWinter(service, home, laidUp, hemisphere, where) {
  return Array.from({ length: years }, (_, n) => firstYear + n).flatMap((y) => {
    const winter = hemisphere === 'north' ? [`${y}-11-01`, `${y + 1}-03-15`] : [`${y}-05-01`, `${y}-09-15`];
    const [start, until] = winter.map(parseDay);
    const resting = { from: start, until };
    const machines = home.machines.map((machine) => (machine.id === laidUp ? { ...machine, resting } : machine));
    return [{ atMs: startOfDay(start, where), run: () => service.replaceHome({ ...home, machines }) }];
  });
}

/** Hours on a few days a week, most in summer, none while it is laid up. */
function usageOf(index, from, to, hemisphere, rests) {
  const random = seededRandom(index + 1);
  return daysFrom(from, to).flatMap((day) => {
    const chance = random();
    const hours = Math.round((0.5 + 2 * random()) * 10) / 10;
    const month = Number(day.slice(5, 7));
    const fromJuly = Math.abs(month - 7) / 6;
    const summer = hemisphere === 'north' ? 1 - fromJuly : fromJuly;
    if (rests && (hemisphere === 'north' ? month >= 11 || month <= 3 : month >= 5 && month <= 9)) return [];
    return chance < 0.1 + 0.3 * summer ? [{ day, hours }] : [];
  });
}

function daysFrom(from, to) {
  const days = [];
  for (let day = from; day <= to; day = addDays(day, 1)) days.push(day);
  return days;
}

/** Paths of the numbers that are none. Infinity is not looked for: it may stand for never. */
function notFinite(value, path) {
  if (typeof value === 'number') return Number.isNaN(value) ? [path] : [];
  if (value === null || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([key, inner]) => notFinite(inner, `${path}.${key}`));
}

/** Whether the database is whole, and what it holds, what still waits in its log included. */
function lookInto(file) {
  const db = new Database(file, { readonly: true });
  const ask = (pragma) => db.pragma(pragma, { simple: true });
  try {
    return { check: ask('integrity_check'), kb: (ask('page_count') * ask('page_size')) / 1024 };
  } finally {
    db.close();
  }
}

/** The first year warms up; what grows after the second is a leak. */
function outgrown(rows) {
  const [first, second] = rows;
  const last = rows.at(-1);
  if (rows.length < 3) return [];
  const grown = ['rss', 'heap'].filter((name) => last[name] > mostMemoryRatio * second[name]);
  const faults = grown.map(
    (name) => `${name} of year ${rows.length} is ${(last[name] / second[name]).toFixed(2)} times that of year 2`,
  );
  const gain = last.kb - rows.at(-2).kb;
  const gainThen = second.kb - first.kb;
  if (gain > mostGrowthRatio * gainThen)
    faults.push(
      `the database gained ${gain.toFixed(0)} kB in year ${rows.length}, ${gainThen.toFixed(0)} kB in year 2`,
    );
  return faults;
}

/** Memory is compared after a collection, so that it says what is held and not what waits to be freed. */
function collector() {
  setFlagsFromString('--expose-gc');
  return runInNewContext('gc');
}
