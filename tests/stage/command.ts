import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { text } from 'node:stream/consumers';
import { fileURLToPath } from 'node:url';
import { run } from '../../src/cli/run.js';

/** The built program; the tests that start it build nothing themselves. */
const built = process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url).href;
export const program = fileURLToPath(new URL('main.js', built));

/** @throws Error with one line that says what to do */
export function requireBuilt(): void {
  if (!existsSync(program)) throw new Error('These tests start the built program: run "npm run build" first.');
}

/** When the tests of the commands take place: a Monday, 18:00 in Lisbon, which is 17:00Z in summer. */
export const now = '2031-09-01T18:00';

const files = {
  'household.yaml': `name: Weir Cottage
timezone: Europe/Lisbon
people:
  - { id: ada, name: Ada, mail: ada@weircottage.example }
  - { id: rui, name: Rui }
`,
  'plans/cider-press.yaml': `title: Cider press engine
source: common practice, check your manual
tasks:
  - id: engine-oil
    title: Change the oil
    every: { hours: 50, months: 12 }
    minutes: 40
    steps: [{ do: Drain while warm }]
    source: common practice, check your manual
  - id: air-filter
    title: Clean the air filter
    every: { hours: 50, months: 12 }
    minutes: 10
    steps: [{ do: Tap it out }]
    source: common practice, check your manual
  - id: belt
    title: Look at the belt
    every: { hours: 50, months: 12 }
    minutes: 10
    steps: [{ do: Press it with a thumb }]
    source: common practice, check your manual
`,
  'machines/cider-press.yaml': `name: Cider press
plan: cider-press
since: 2031-01-01
meter: { counts: clock, first: { hours: 100, on: 2031-01-01 } }
expect: { hoursPerYear: 60, season: even }
last:
  engine-oil: { hours: 100, day: 2031-01-01 }
  air-filter: { hours: 100, day: 2031-01-01 }
  belt: { hours: 100, day: 2031-01-01 }
`,
  'machines/hand-tiller.yaml': `name: Hand tiller
plan: library:small-petrol-engine-tool
since: 2031-01-01
meter: none
has: [four-stroke]
expect: { hoursPerYear: 10, season: spring }
last: fine-as-bought
`,
} as const;

/** A home folder of its own with two machines of our own: one with an hour meter, one without.
 *  @param over files to write otherwise; null leaves one out */
export function stageCommandHome(over: Readonly<Record<string, string | null>> = {}): string {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-command-'));
  for (const [name, content] of Object.entries({ ...files, ...over })) {
    if (content === null) continue;
    mkdirSync(dirname(join(dir, name)), { recursive: true });
    writeFileSync(join(dir, name), content);
  }
  return dir;
}

export interface Said {
  readonly status: number;
  readonly lines: readonly string[];
  readonly errors: readonly string[];
}

/** Runs a command in this process. */
export async function command(...argv: readonly string[]): Promise<Said> {
  const lines: string[] = [];
  const errors: string[] = [];
  const status = await run(argv, { line: (line) => lines.push(line), error: (line) => errors.push(line) });
  return { status, lines, errors };
}

/** Commands on one home folder, at `now` unless told otherwise. */
export function commandsOn(dir: string): (...argv: readonly string[]) => Promise<Said> {
  return (...argv) => command('--home', dir, ...(argv.includes('--now') ? [] : ['--now', now]), ...argv);
}

export interface Ended {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

interface Options {
  readonly env?: Readonly<Record<string, string>>;
  readonly input?: string;
  readonly cwd?: string;
}

/** The environment of this process without what would tell the program where its home or port is. */
function plainEnvironment(extra: Readonly<Record<string, string>> = {}): NodeJS.ProcessEnv {
  const { SHEDBELL_HOME: _home, SHEDBELL_PORT: _port, SHEDBELL_LOG: _log, ...rest } = process.env;
  return { ...rest, ...extra };
}

/** Runs the built program in a process of its own, to its end. */
export async function builtCommand(argv: readonly string[], options: Options = {}): Promise<Ended> {
  const child = spawn(process.execPath, [program, ...argv], {
    env: plainEnvironment(options.env),
    cwd: options.cwd,
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  // Whoever does not read its input may be gone before it is written.
  child.stdin.on('error', () => {});
  child.stdin.end(options.input ?? '');
  const [out, err, [status]] = await Promise.all([text(child.stdout), text(child.stderr), once(child, 'close')]);
  return { status, out, err };
}

export interface Running {
  readonly child: ChildProcess;
  /** Resolves once standard output has said it; rejects where the program ends before. */
  says(words: RegExp): Promise<string>;
  readonly ended: Promise<Ended>;
}

/** Starts the built program and leaves it running. */
export function startBuilt(argv: readonly string[], options: Options = {}): Running {
  const child = spawn(process.execPath, [program, ...argv], {
    env: plainEnvironment(options.env),
    cwd: options.cwd,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let err = '';
  let heard = () => {};
  child.stdout.setEncoding('utf8').on('data', (piece: string) => {
    out += piece;
    heard();
  });
  child.stderr.setEncoding('utf8').on('data', (piece: string) => {
    err += piece;
  });
  const ended = once(child, 'close').then(([status]): Ended => ({ status, out, err }));
  return {
    child,
    ended,
    says: (words) =>
      new Promise((done, fail) => {
        heard = () => {
          const found = words.exec(out);
          if (found !== null) done(found[1] ?? found[0]);
        };
        heard();
        void ended.then(({ status }) => fail(new Error(`it ended with ${status} and said: ${out} ${err}`)));
      }),
  };
}

/** Ends a program that a test left running, and waits for it. */
export async function endBuilt({ child, ended }: Running): Promise<void> {
  if (child.exitCode === null && child.signalCode === null) child.kill('SIGKILL');
  await ended;
}

export function removeHome(dir: string): void {
  rmSync(dir, { recursive: true, force: true });
}
