import { execFileSync, spawn } from 'node:child_process';
import { cpSync, mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { factsAbout, mower, stageBooks, stagedHome } from '../../tests/stage/ledger-books.js';
import { readMigrations } from '../store/migrate.js';
import { openStore } from '../store/open.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
/** Below node_modules, so that the compiled files find the libraries. */
const compiled = join(root, 'node_modules', '.cache', `shedbell-two-processes-${process.pid}`);

beforeAll(() => {
  mkdirSync(compiled, { recursive: true });
  const typescript = join(root, 'node_modules', 'typescript', 'bin', 'tsc');
  execFileSync(process.execPath, [typescript, '-p', join(root, 'tsconfig.json'), '--outDir', compiled, '--noCheck']);
  cpSync(join(root, 'src', 'store', 'migrations'), join(compiled, 'store', 'migrations'), { recursive: true });
  writeFileSync(join(compiled, 'package.json'), '{"type":"module"}');
});
afterAll(() => rmSync(compiled, { recursive: true, force: true }));

/** A process that opens the books by itself and runs `body` on them; its answers come back. */
function run(file: string, nowMs: number, body: string): Promise<string[]> {
  const script = `
    import { openStore } from ${JSON.stringify(join(compiled, 'store/open.js'))};
    import { enterReading } from ${JSON.stringify(join(compiled, 'ledger/enter-reading.js'))};
    import { confirmVisit } from ${JSON.stringify(join(compiled, 'ledger/confirm-visit.js'))};
    const home = ${JSON.stringify(stagedHome)};
    const store = openStore(${JSON.stringify(file)}, { busyMs: 60000 });
    const books = { store, home: () => home, clock: { nowMs: () => ${nowMs} } };
    const machine = ${JSON.stringify(mower.id)};
    const answers = [];
    ${body}
    store.close();
    console.log(JSON.stringify(answers));`;
  return new Promise((done, fail) => {
    const child = spawn(process.execPath, ['--input-type=module', '-e', script], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let said = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      said += text;
    });
    child.once('error', fail);
    child.once('exit', (code) =>
      code === 0 ? done(JSON.parse(said)) : fail(new Error(`the process ended with ${code}`)),
    );
  });
}

const enter = `
  for (let i = 1; i <= 40; i += 1) {
    const atMs = books.clock.nowMs() - (40 - i) * 86400000;
    answers.push(enterReading(books, { machine, hours: 120 + i, atMs, by: null, door: 'command', confirm: true, key: 'form-' + i }).kind);
  }`;
const confirm = `
  for (let i = 1; i <= 25; i += 1) {
    const visit = { id: 'visit-' + i, machine, tasks: ['blades'] };
    const day = new Date(books.clock.nowMs() - i * 86400000).toISOString().slice(0, 10);
    answers.push(confirmVisit(books, { visit, tasks: null, day, hours: null, hoursEstimated: 130, by: null, door: 'link', note: null, minutes: null, findings: [], key: null }).kind);
  }`;

it('two processes that enter the same at once make one fact of it, and the open books see it', async () => {
  const books = stageBooks();
  const version = books.store.dataVersion();
  const [first, second] = await Promise.all([1, 2].map(() => run(books.file, books.clock.nowMs(), enter)));
  for (const index of Array.from({ length: 40 }).keys()) {
    expect([first?.[index], second?.[index]].sort()).toEqual(['already', 'counted']);
  }
  expect(factsAbout(books).readings.map((r) => r.hours)).toEqual(Array.from({ length: 40 }, (_, i) => 121 + i));
  expect(books.store.dataVersion()).toBeGreaterThan(version);
});

it('two processes that confirm the same visits at once make one record of each', async () => {
  const books = stageBooks();
  const [first, second] = await Promise.all([1, 2].map(() => run(books.file, books.clock.nowMs(), confirm)));
  for (const index of Array.from({ length: 25 }).keys()) {
    expect([first?.[index], second?.[index]].sort()).toEqual(['already', 'recorded']);
  }
  expect(
    factsAbout(books)
      .records.map((r) => r.visit)
      .sort(),
  ).toEqual(Array.from({ length: 25 }, (_, i) => `visit-${i + 1}`).sort());
});

it('processes that open a file of the first release at once all find it brought forward, with one copy beside it', async () => {
  const books = stageBooks();
  const [first] = readMigrations();
  for (const round of [1, 2, 3, 4]) {
    const old = join(books.folder, `old-${round}.sqlite`);
    openStore(old, { migrations: first === undefined ? [] : [first] }).close();
    const answers = await Promise.all(
      [1, 2, 3, 4].map(() => run(old, books.clock.nowMs(), `answers.push(store.dataVersion() >= 0);`)),
    );
    expect(answers).toEqual([[true], [true], [true], [true]]);
    expect(readdirSync(books.folder).filter((name) => name.startsWith(`old-${round}.sqlite.`))).toEqual([
      `old-${round}.sqlite.before-schema-2`,
    ]);
  }
});

it('processes that open a new file at once all find it ready', async () => {
  const books = stageBooks();
  for (const round of [1, 2, 3, 4]) {
    const fresh = join(books.folder, `fresh-${round}.sqlite`);
    const answers = await Promise.all(
      [1, 2, 3, 4].map(() => run(fresh, books.clock.nowMs(), `answers.push(store.dataVersion() > 0);`)),
    );
    expect(answers).toEqual([[true], [true], [true], [true]]);
  }
});
