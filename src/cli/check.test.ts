import { appendFileSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { parseDay, parseZone } from '../domain/day.js';
import { initHome } from '../home/write-example.js';
import { runCheck } from './check.js';

let dir = '';
beforeEach(() => {
  dir = join(mkdtempSync(join(tmpdir(), 'shedbell-check-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('Europe/Lisbon') });
});

async function check(home = dir, now = '2027-04-10') {
  const lines: string[] = [];
  const errors: string[] = [];
  const status = await runCheck(
    { home, now },
    { line: (text) => lines.push(text), error: (text) => errors.push(text) },
  );
  return { status, lines, errors };
}

describe('check', () => {
  it('says what is set up and whether links open on a phone', async () => {
    const { status, lines, errors } = await check();
    expect({ status, errors }).toEqual({ status: 0, errors: [] });
    expect(lines[0]).toMatch(/is in order: brush-cutter \(\d+ tasks\), hill-tractor \(\d+ tasks\)\.$/);
    expect(lines).toContain(
      'No mail server is set up (smtp:): messages are kept in data/outbox and shown on the page.',
    );
    expect(lines.join('\n')).toContain('Links in messages open on this computer only');
  });

  it('says what a machine without fittings leaves out, and nothing of one that names some', async () => {
    const said = async () => (await check()).lines.filter((line) => line.includes('has: names nothing'));
    expect(await said()).toEqual([]);
    writeFileSync(
      join(dir, 'machines', 'ride-on.yaml'),
      'name: Ride-on\nplan: library:ride-on-petrol-mower\nsince: 2026-04-01\nlast: unknown\n',
    );
    expect(await said()).toEqual([
      expect.stringMatching(
        /^ride-on: has: names nothing, so \d+ tasks of its plan are left out: .*blades.* Write under has: what it has: .*deck/,
      ),
    ]);
  });

  it('prints every error on a line of its own with its place, and exits 2', async () => {
    appendFileSync(join(dir, 'household.yaml'), 'adress: http://shed.local:8377\ncoldest: cold\n');
    appendFileSync(join(dir, 'machines', 'brush-cutter.yaml'), 'gon: true\n');
    const { status, lines, errors } = await check();
    expect({ status, lines }).toEqual({ status: 2, lines: [] });
    expect(errors).toEqual([
      expect.stringMatching(
        /household\.yaml:\d+:1: Nothing reads this key \(found "adress"\)\. Did you mean "address"\?$/,
      ),
      expect.stringMatching(/household\.yaml:\d+:10: This is not a number with a unit \(found "cold"\)/),
      expect.stringMatching(
        /brush-cutter\.yaml:\d+:1: Nothing reads this key \(found "gon"\)\. Did you mean "gone"\?$/,
      ),
      '3 errors. Where one key is wrong, what depends on it was not looked at yet.',
    ]);
  });

  it('says how to make a home where there is none', async () => {
    const { status, errors } = await check(join(dir, 'none'));
    expect(status).toBe(2);
    expect(errors).toEqual([expect.stringContaining('Make one with: shedbell init ')]);
  });

  it('refuses a service done on a day years ahead, by the clock that it is told', async () => {
    const file = join(dir, 'machines', 'brush-cutter.yaml');
    writeFileSync(
      file,
      readFileSync(file, 'utf8').replace(/^last: unknown.*$/m, 'last: { air-filter: { day: 2038-01-02 } }'),
    );
    expect(await check()).toMatchObject({
      status: 2,
      errors: [
        expect.stringMatching(
          /brush-cutter\.yaml:\d+:28: This day lies years ahead: today is 2027-04-10 \(found "?2038-01-02"?\)\. Write the day on which it was done\.$/,
        ),
      ],
    });
    expect((await check(dir, '2028-01-01')).status).toBe(2);
    expect((await check(dir, '2038-01-01')).status).toBe(0);
  });

  it('notes what lies ahead, so that a mistyped month is seen', async () => {
    const file = join(dir, 'machines', 'brush-cutter.yaml');
    writeFileSync(file, readFileSync(file, 'utf8').replace(/^since:.*$/m, 'since: 2027-08-01'));
    const early = await check(dir, '2027-04-10');
    expect(early.status).toBe(0);
    expect(early.lines).toContain(
      'brush-cutter: since: 2027-08-01 has not come yet (today is 2027-04-10): it is taken for a machine still to come.',
    );
    expect((await check(dir, '2027-08-02')).lines.join('\n')).not.toContain('has not come yet');
  });

  it('notes a year ahead of today in the first meter value, a replaced meter and a last service too', async () => {
    const mower = (text: string) =>
      writeFileSync(
        join(dir, 'machines', 'lawn-mower.yaml'),
        `name: Lawn mower\nplan: library:ride-on-petrol-mower\nsince: 2027-01-09\n${text}\n`,
      );
    const notes = async () => (await check()).lines.filter((line) => line.includes('has not come yet'));
    mower('meter: { first: { hours: 20, on: 2027-11-09 } }\nlast: { engine-oil: { day: 2027-10-01 } }');
    expect(await notes()).toEqual([
      'lawn-mower: meter.first.on: 2027-11-09 has not come yet (today is 2027-04-10): nobody can have read the meter then.',
      'lawn-mower: last.engine-oil.day: 2027-10-01 has not come yet (today is 2027-04-10): it cannot have been done then.',
    ]);
    mower('meter: { first: { hours: 20, on: 2027-01-09 }, replaced: [{ on: 2027-10-02, last: 40 }] }');
    expect(await notes()).toEqual([
      'lawn-mower: meter.replaced.on: 2027-10-02 has not come yet (today is 2027-04-10): the meter cannot have been replaced then.',
    ]);
    mower('meter: { first: { hours: 20, on: 2027-04-09 } }\nlast: { engine-oil: { day: 2027-03-01 } }');
    expect(await notes()).toEqual([]);
  });

  it('says that a feed without a broker counts nothing', async () => {
    appendFileSync(join(dir, 'machines', 'brush-cutter.yaml'), 'feed: { kind: run-seconds, topic: shed/cutter }\n');
    expect((await check()).lines).toContain(
      'brush-cutter: a feed is set up, but household.yaml names no broker (mqtt:), so nothing is counted.',
    );
  });

  it('says that two machines listen to the same value of a sensor, and nothing of two values in one message', async () => {
    const withFeed = (id: string, pointer: string) =>
      writeFileSync(
        join(dir, 'machines', `${id}.yaml`),
        `name: ${id}\nplan: library:ride-on-petrol-mower\nsince: 2027-01-09\nhas: [deck]\nfeed: { kind: run-seconds, topic: shed/all, pointer: ${pointer} }\n`,
      );
    const shared = async () => (await check()).lines.filter((line) => line.includes('same value'));
    withFeed('mower-one', '/one');
    withFeed('mower-two', '/two');
    expect(await shared()).toEqual([]);
    withFeed('mower-two', '/one');
    expect(await shared()).toEqual([
      'mower-one and mower-two listen to the same value of shed/all: what that sensor says counts for each of them. If each has a sensor of its own, give each its topic or pointer.',
    ]);
  });

  it('says that two people with one mail address get one letter for both', async () => {
    const withPeople = (second: string) =>
      writeFileSync(
        join(dir, 'household.yaml'),
        `name: Hazel End\ntimezone: Europe/Lisbon\nsmtp: { host: localhost, port: 2525, security: plain, from: shed@hazel.example }\npeople:\n  - { id: ana, name: Ana, mail: home@hazel.example }\n  - { id: rui, name: Rui, mail: ${second} }\n`,
      );
    const shared = async () => (await check()).lines.filter((line) => line.includes(' share '));
    withPeople('rui@hazel.example');
    expect(await shared()).toEqual([]);
    withPeople('Home@Hazel.example');
    expect(await shared()).toEqual([
      'Ana and Rui share home@hazel.example, so what both are told comes there once, and what is confirmed by its links is in the name of Ana.',
    ]);
  });

  describe('of a machine that came new', () => {
    const told = async (text: string) => {
      writeFileSync(
        join(dir, 'machines', 'lawn-mower.yaml'),
        `name: Lawn mower\nplan: library:ride-on-petrol-mower\nsince: 2027-04-09\nhas: [deck]\n${text}\n`,
      );
      const { status, lines, errors } = await check();
      expect({ status, errors }).toEqual({ status: 0, errors: [] });
      return lines.filter((line) => line.startsWith('lawn-mower: '));
    };
    const came = (hours: number) => `meter: { first: { hours: ${hours}, on: 2027-04-09 } }\n`;

    it('says that fine-as-bought keeps its break-in jobs, and what to write instead', async () => {
      const [note, ...more] = await told(`${came(2)}last: fine-as-bought`);
      expect(more).toEqual([]);
      expect(note).toContain('it came with 2 h, so last: fine-as-bought does not stand for jobs of its first hours');
      expect(note).toMatch(/engine-oil \(at \d+ h\)/);
      expect(note).toContain('On a new machine leave last: out; if one was done early, write under last: such as ');
      expect(note).toContain(': { hours: 2, day: 2027-04-09 }.');
    });

    it('says that unknown draws them into the visit for getting to know it', async () => {
      expect(await told(`${came(2)}last: unknown`)).toEqual([
        expect.stringContaining('last: unknown puts jobs of its first'),
      ]);
    });

    it('says that fine-as-bought is believed where no meter tells', async () => {
      expect(await told('meter: none\nlast: fine-as-bought')).toEqual([
        expect.stringContaining('If it came new, take last: out.'),
      ]);
    });

    it('is silent without last:, with a day of its own, and for a used one', async () => {
      expect(await told(came(2))).toEqual([]);
      expect(await told(`${came(2)}last: { engine-oil: { hours: 2, day: 2027-04-09 } }`)).toEqual([]);
      expect(await told(`${came(200)}last: fine-as-bought`)).toEqual([]);
    });
  });
});
