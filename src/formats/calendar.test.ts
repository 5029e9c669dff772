import fc from 'fast-check';
import ICAL from 'ical.js';
import { expect, it } from 'vitest';
import { parseDay } from '../domain/day.js';
import type { Task } from '../domain/task.js';
import { type CalendarVisit, writeCalendar } from './calendar.js';

const today = parseDay('2031-04-05');
const sly = 'Öl; Filter, \\ und\nmehr 🛠️';

function aTask(id: string, title: string): Task {
  return {
    id,
    title,
    every: { hours: 100 },
    minutes: 30,
    by: 'owner',
    steps: [],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'invented',
  };
}

function aVisit(over: Partial<CalendarVisit> = {}): CalendarVisit {
  return {
    uid: 'hill-tractor-engine-oil-3@0123456789ab.shedbell.invalid',
    visit: {
      tasks: ['engine-oil', 'blades'],
      leadTask: 'engine-oil',
      kind: 'service',
      by: 'owner',
      due: { p10: parseDay('2031-04-20'), p50: parseDay('2031-05-02'), p90: parseDay('2031-05-17') },
      minutes: 110,
    },
    machine: { name: 'Hügel-Traktor', tasks: [aTask('engine-oil', sly), aTask('blades', 'Sharpen the blades')] },
    day: parseDay('2031-04-26'),
    sequence: 2,
    changedAtMs: Date.UTC(2031, 3, 1, 7, 30, 15, 250),
    notToBeUsed: false,
    sheetUrl: 'http://shed.local:8377/visits/hill-tractor-engine-oil-3/sheet',
    ...over,
  };
}

function write(...visits: readonly CalendarVisit[]): string {
  return writeCalendar({ name: `Erlenhof; ${sly}`, today, locale: 'en-GB', visits });
}

/** Read by a parser that is not ours. */
function read(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  return { calendar, events: calendar.getAllSubcomponents('vevent') };
}

it('another parser reads one all-day event a visit, whose end is the day after', () => {
  const { events } = read(write(aVisit(), aVisit({ uid: 'b', day: parseDay('2032-02-29') })));
  const days = events.map((one) => {
    const event = new ICAL.Event(one);
    return [event.startDate.isDate, event.startDate.toString(), event.endDate.toString(), event.duration.toSeconds()];
  });
  expect(days).toEqual([
    [true, '2031-04-26', '2031-04-27', 86_400],
    [true, '2032-02-29', '2032-03-01', 86_400],
  ]);
});

it('an event carries its id, number, instants of change, and takes no time from anybody', () => {
  const { calendar, events } = read(write(aVisit()));
  const value = (name: string) => String(events[0]?.getFirstPropertyValue(name));
  expect(value('uid')).toBe('hill-tractor-engine-oil-3@0123456789ab.shedbell.invalid');
  expect(value('sequence')).toBe('2');
  expect(value('dtstamp')).toBe('2031-04-01T07:30:15Z');
  expect(value('last-modified')).toBe('2031-04-01T07:30:15Z');
  expect(value('transp')).toBe('TRANSPARENT');
  expect(value('url')).toBe('http://shed.local:8377/visits/hill-tractor-engine-oil-3/sheet');
  expect(calendar.getFirstPropertyValue('version')).toBe('2.0');
  expect(calendar.getFirstPropertyValue('prodid')).toBe('-//Shedbell//Visits ahead//EN');
  expect(calendar.getFirstPropertyValue('method')).toBe('PUBLISH');
  expect(String(calendar.getFirstPropertyValue('refresh-interval'))).toBe('PT6H');
  expect(String(calendar.getFirstPropertyValue('x-published-ttl'))).toBe('PT6H');
});

it('umlauts, emoji, semicolons, commas, backslashes and line breaks in names come back as they went in', () => {
  // The parser leaves what it does not know as it stands; RFC 5545 section 3.8.8 makes both of these TEXT.
  const text = write(aVisit()).replace(/^(NAME|X-WR-CALNAME):/gm, '$1;VALUE=TEXT:');
  const { calendar, events } = read(text);
  const oneLine = 'Öl; Filter, \\ und mehr 🛠️';
  expect(calendar.getFirstPropertyValue('name')).toBe(`Erlenhof; ${oneLine}`);
  expect(calendar.getFirstPropertyValue('x-wr-calname')).toBe(`Erlenhof; ${oneLine}`);
  expect(events[0]?.getFirstPropertyValue('summary')).toBe(`Hügel-Traktor: ${oneLine}, and sharpen the blades`);
});

it('the description says how sure the day is, what is to be done, how long it takes, and where the sheet is', () => {
  const { events } = read(write(aVisit()));
  expect(events[0]?.getFirstPropertyValue('description')).toBe(
    [
      'The first of its jobs reaches its limit between 20 April and 17 May, most likely about 2 May.',
      '- Öl; Filter, \\ und mehr 🛠️',
      '- Sharpen the blades',
      'About 1 h 50 of work.',
      'Bench sheet: http://shed.local:8377/visits/hill-tractor-engine-oil-3/sheet',
    ].join('\n'),
  );
});

it('a machine whose past nobody knows is not told with a span, and the dealer’s work not with minutes', () => {
  const { visit } = aVisit();
  const { events } = read(
    write(
      aVisit({ visit: { ...visit, tasks: ['blades'], leadTask: 'blades', kind: 'getting-to-know' } }),
      aVisit({ visit: { ...visit, tasks: ['blades'], leadTask: 'blades', by: 'dealer' } }),
    ),
  );
  const [unknown, dealer] = events.map((one) => String(one.getFirstPropertyValue('description')).split('\n'));
  expect(unknown?.[0]).toBe('Nobody knows when it was last done.');
  expect(dealer?.[1]).toBe('Work for the dealer.');
});

it('the alarm rings at eight in the morning of the day', () => {
  const alarm = read(write(aVisit())).events[0]?.getFirstSubcomponent('valarm');
  const trigger = alarm?.getFirstPropertyValue('trigger');
  expect(alarm?.getFirstPropertyValue('action')).toBe('DISPLAY');
  expect(alarm?.getFirstPropertyValue('description')).toContain('Hügel-Traktor');
  expect(alarm?.getFirstProperty('trigger')?.getParameter('related')).toBeUndefined();
  expect(trigger instanceof ICAL.Duration ? trigger.toSeconds() : null).toBe(8 * 3600);
});

it('no visit ahead gives a calendar that is empty, not broken', () => {
  expect(read(write()).events).toEqual([]);
});

it('whatever names hold, every line ends in CRLF within 75 octets and the names come back', () => {
  const name = fc.string({ unit: fc.constantFrom(...'aÜß;,:\\"\n\r\t 漢🔧é'), maxLength: 120 });
  fc.assert(
    fc.property(name, name, (machineName, title) => {
      const visit = { ...aVisit().visit, tasks: ['x'], leadTask: 'x' };
      const text = write(aVisit({ visit, machine: { name: machineName, tasks: [aTask('x', title)] } }));
      expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
      expect(text.endsWith('END:VCALENDAR\r\n')).toBe(true);
      for (const line of text.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
      const plain = (given: string) => given.replace(/[\n\r\t ]+/g, ' ').trim();
      const summary = String(read(text).events[0]?.getFirstPropertyValue('summary'));
      expect(summary).toBe(plain(`${machineName}: ${plain(title)}`));
    }),
  );
});

it('a visit of a machine that is not to be used says so in its title and first', () => {
  const { events } = read(write(aVisit({ notToBeUsed: true })));
  const event = new ICAL.Event(events[0]);
  expect(event.summary).toMatch(/^Hügel-Traktor \(do not use\): /);
  expect(event.description).toMatch(/^Do not use it until mended: a safety test failed\.\n/);
});

it('one job is spoken of as one, several as several', () => {
  const one = aVisit();
  const single = aVisit({ visit: { ...one.visit, kind: 'getting-to-know', tasks: ['engine-oil'] } });
  const several = aVisit({ visit: { ...one.visit, kind: 'getting-to-know' } });
  const [first, second] = read(write(single, several)).events.map((event) => new ICAL.Event(event).description);
  expect(first).toMatch(/^Nobody knows when it was last done\./);
  expect(second).toMatch(/^Nobody knows when its jobs were last done\./);
});

it('a cancelled visit keeps its id and day, and has neither sheet nor alarm', () => {
  const { uid, day, changedAtMs } = aVisit();
  const cancelled = [{ uid, day, changedAtMs, sequence: 3, machine: { name: 'Hügel-Traktor' } }];
  const text = writeCalendar({ name: 'Erlenhof', today, locale: 'en-GB', visits: [], cancelled });
  const [event] = read(text).events;
  expect(event?.getFirstPropertyValue('status')).toBe('CANCELLED');
  expect(event?.getFirstPropertyValue('uid')).toBe(uid);
  expect(event?.getFirstPropertyValue('sequence')).toBe(3);
  expect(String(event?.getFirstPropertyValue('dtstart'))).toBe('2031-04-26');
  expect(event?.getAllSubcomponents('valarm')).toEqual([]);
  expect(text).not.toContain('URL:');
});

it('a cancelled visit of a machine that nobody knows any more still says that it is off', () => {
  const { uid, day, changedAtMs } = aVisit();
  const cancelled = [{ uid, day, changedAtMs, sequence: 1, machine: null }];
  const [event] = read(writeCalendar({ name: 'Erlenhof', today, locale: 'en-GB', visits: [], cancelled })).events;
  expect(event?.getFirstPropertyValue('status')).toBe('CANCELLED');
  expect(event?.getFirstPropertyValue('summary')).toBe('Done, or no longer planned');
});
