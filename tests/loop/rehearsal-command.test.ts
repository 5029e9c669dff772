import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, test, vi } from 'vitest';
import { run } from '../../src/cli/run.js';
import type { RehearsalReport } from '../../src/rehearsal/report.js';

const demoData = fileURLToPath(new URL('../../demo-data', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'shedbell-command-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function write(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

async function rehearse(...options: readonly string[]) {
  const lines: string[] = [];
  const errors: string[] = [];
  const status = await run(
    [
      ...['--home', `${demoData}/home`, 'rehearse', '--usage', `${demoData}/usage.csv`],
      ...['--from', '2025-03-01', '--to', '2025-06-30', '--tasks', 'grease-chassis,tyre-pressures', ...options],
    ],
    { line: (text) => lines.push(text), error: (text) => errors.push(text) },
  );
  return { status, lines, errors };
}

async function report(...options: readonly string[]): Promise<RehearsalReport> {
  const { status, lines } = await rehearse('--json', ...options);
  expect({ status, documents: lines.length }).toEqual({ status: 0, documents: 1 });
  return JSON.parse(lines[0] ?? '');
}

describe('shedbell rehearse', () => {
  test('prints one JSON document, the same for the same seed, and leaves no folder behind', async () => {
    const ownFolder = mkdtempSync(join(folder, 'temporary-'));
    vi.stubEnv('TMPDIR', ownFolder);
    const first = await rehearse('--json', '--seed', '3');
    expect(first).toMatchObject({ status: 0, errors: [] });
    expect(await rehearse('--json', '--seed', '3')).toEqual(first);
    expect(readdirSync(ownFolder)).toEqual([]);
    vi.unstubAllEnvs();
  });

  test('keeps to the named tasks and the machines that have them', async () => {
    const { services, machines } = await report();
    expect(new Set(services.map((s) => s.task))).toEqual(new Set(['grease-chassis', 'tyre-pressures']));
    expect(Object.keys(machines)).toEqual(['bank-tractor', 'paddock-mower']);
  });

  test('takes what a person file says, and defaults for the rest', async () => {
    const weekday = await report('--person', write('weekday.yaml', 'worksOn: [wed]\nanswersReading: 0\n'));
    expect(weekday.services.length).toBeGreaterThan(0);
    for (const { doneOn } of weekday.services) expect(new Date(doneOn).getUTCDay()).toBe(3);
    const same = await report('--person', write('empty.yaml', '# nothing\n'));
    expect(same).toEqual(await report());
  });

  test('knows three policies', async () => {
    const [ours, calendar, line] = await Promise.all(['ours', 'calendar', 'line'].map((p) => report('--policy', p)));
    for (const told of [ours, calendar, line]) expect(told?.services.length).toBeGreaterThan(0);
    expect(calendar?.questions).toBe(0);
    expect(line?.questions).toBe(0);
  });

  test('says in words what came of it without --json', async () => {
    const { status, lines } = await rehearse();
    expect(status).toBe(0);
    expect(lines).toEqual([
      expect.stringMatching(/^\d+ services done, \d+ of them within their tolerance of hours$/),
      expect.stringMatching(/^\d+ messages?, \d+ questions?, \d+ wasted trips?, \d+ readings?$/),
    ]);
  });

  test.each([
    [['--policy', 'guess'], /^--policy knows ours, calendar, line \(found "guess"\)\.$/],
    [['--policy', ''], /^--policy knows/],
    [['--feed', '1.5'], /^--feed wants a number from 0 to 1 \(found "1\.5"\)\.$/],
    [['--feed', '-1'], /^--feed wants a number/],
    [['--feed', ''], /^--feed wants a number/],
    [['--seed', '2.5'], /^--seed wants a whole number \(found "2\.5"\)\.$/],
    [['--seed', 'x'], /^--seed wants a number/],
    [['--tasks', 'grease-chasis'], /^--tasks: no machine has a task "grease-chasis"/],
    [['--to', '2025-02-01'], /^--to 2025-02-01 lies before --from 2025-03-01\.$/],
    [['--from', '2025-02-30'], /^--from: /],
    [['--usage', 'nowhere.csv'], /^nowhere\.csv: there is no such file\.$/],
    [['--person', 'nowhere.yaml'], /^nowhere\.yaml: there is no such file\.$/],
  ])('refuses %j in one line', async (options, words) => {
    const { status, lines, errors } = await rehearse(...options);
    expect({ status, lines, count: errors.length }).toEqual({ status: 2, lines: [], count: 1 });
    expect(errors[0]).toMatch(words);
  });

  test('names file, line and column of what a person file has wrong', async () => {
    const typo = write('typo.yaml', 'seed: 2\nansersReading: 0.5\n');
    const wrong = write('wrong.yaml', 'seed: 2\ndoesWork: 1.5\n');
    const broken = write('broken.yaml', 'seed: [2\n');
    const { errors } = await rehearse('--person', typo);
    expect(errors[0]).toMatch(/typo\.yaml:2:1: .*ansersReading.*Did you mean "answersReading"/);
    expect((await rehearse('--person', wrong)).errors[0]).toMatch(/wrong\.yaml:2:11: /);
    expect((await rehearse('--person', broken)).errors[0]).toMatch(/broken\.yaml:\d+:\d+: /);
  });

  test('names the line of a usage row that it cannot use', async () => {
    const strange = write('strange.csv', 'day,machine,hours\n2025-03-01,bank-tractor,1\n2025-03-02,boat,1\n');
    expect((await rehearse('--usage', strange)).errors[0]).toMatch(/strange\.csv:3:\d+: there is no machine "boat"/);
    const long = write('long.csv', 'day,machine,hours\n2025-03-01,bank-tractor,25\n');
    expect((await rehearse('--usage', long)).errors[0]).toMatch(/long\.csv:2:\d+: /);
  });
});
