import { expect, test } from 'vitest';
import { type Day, parseDay } from '../domain/day.js';
import { type AlmanacVisit, drawMonthsAhead, type MonthsAheadInput } from './months-ahead.js';

const day = (text: string): Day => parseDay(text);

function visit(on: string, changes: Partial<AlmanacVisit> = {}): AlmanacVisit {
  return {
    day: day(on),
    dueFrom: day(on),
    dueTo: day(on),
    lane: 0,
    who: 'Hill tractor',
    what: 'Oil, filter and five more',
    when: 'Sat 22 March · 1 h 50',
    href: '/visits/x/sheet',
    ...changes,
  };
}

function draw(changes: Partial<MonthsAheadInput>): string {
  return drawMonthsAhead({
    today: day('2031-02-26'),
    until: day('2031-08-15'),
    lanes: 3,
    visits: [],
    marks: [],
    workingDays: [],
    title: 'Months ahead',
    description: 'Nothing.',
    id: 'ahead',
    ...changes,
  });
}

/** Top and bottom of each label, read back from the drawing. */
function labelBoxes(svg: string): readonly { top: number; bottom: number }[] {
  return [...svg.matchAll(/class="target" x="[\d.]+" y="([-\d.]+)" width="[\d.]+" height="([\d.]+)"/g)].map(
    (found) => ({
      top: Number(found[1]),
      bottom: Number(found[1]) + Number(found[2]),
    }),
  );
}

test('labels of visits that fall close together do not collide', () => {
  const svg = draw({
    visits: ['2031-03-22', '2031-03-22', '2031-03-23', '2031-03-29'].map((on, lane) => visit(on, { lane })),
  });
  const boxes = [...labelBoxes(svg)].sort((a, b) => a.top - b.top);
  expect(boxes).toHaveLength(4);
  boxes.forEach((box, index) => {
    const next = boxes[index + 1];
    if (next !== undefined) expect(next.top).toBeGreaterThanOrEqual(box.bottom);
  });
});

test('every label that can be tapped is at least 48 px high on a phone', () => {
  const heights = labelBoxes(draw({ visits: [visit('2031-03-22', { what: 'Oil', when: 'Sat' })] })).map(
    (box) => (box.bottom - box.top) * (332 / 340),
  );
  expect(heights).toHaveLength(1);
  expect(Math.min(...heights)).toBeGreaterThanOrEqual(48);
});

test('a long title wraps instead of running off the page', () => {
  const svg = draw({
    visits: [visit('2031-03-22', { what: 'Engine oil, filter, fuel filter, air filter and belts' })],
  });
  expect(svg.match(/class="what"/g)?.length).toBeGreaterThan(1);
});

test('months are named, and January bears its year', () => {
  expect(draw({ until: day('2031-04-02') })).toContain('>April<');
  expect(draw({ until: day('2032-01-10') })).toContain('2032');
});

test('the rule of a month ends before the labels, and a name too wide for its column is shortened', () => {
  const svg = draw({ until: day('2031-10-15'), visits: [visit('2031-03-22')] });
  const ends = [...svg.matchAll(/class="rule" d="M0 [\d.]+H([\d.]+)"/g)].map((found) => Number(found[1]));
  const labels = [...svg.matchAll(/class="who" x="([\d.]+)"/g)].map((found) => Number(found[1]));
  expect(ends.length).toBeGreaterThan(5);
  expect(Math.max(...ends)).toBeLessThan(Math.min(...labels));
  expect(svg).toContain('>Sept<');
  expect(svg).not.toContain('September');
});

test('what people wrote cannot become markup', () => {
  const svg = draw({
    visits: [visit('2031-03-22', { who: '<script>alert(1)</script>', what: '"&', href: '/"><b>' })],
    title: '</title><script>',
  });
  expect(svg).not.toContain('<script');
  expect(svg).not.toContain('"><b>');
});

test('the drawing needs no inline style, so that a strict policy can stand', () => {
  const svg = draw({
    visits: [visit('2031-03-22')],
    marks: [{ day: day('2031-04-25'), text: 'last frost, most years' }],
  });
  expect(svg).not.toMatch(/\sstyle=|<style/);
  expect(svg).toContain('last frost');
});

test('a visit whose day has passed stands at today, and one after the last month is left out', () => {
  const svg = draw({ visits: [visit('2031-02-01', { who: 'Early' }), visit('2033-02-01', { who: 'Too far' })] });
  expect(svg).toContain('Early');
  expect(svg).not.toContain('Too far');
});

test('numbers in the drawing are finite on the last day of a month and with no lanes at all', () => {
  expect(draw({ today: day('2031-02-28'), until: day('2031-02-28'), lanes: 0 })).not.toMatch(/NaN|Infinity/);
});

test('a span of doubt is drawn from today on, and not at all once it is over', () => {
  const over = visit('2031-02-27', { dueFrom: day('2030-11-01'), dueTo: day('2031-01-15') });
  const underWay = visit('2031-03-22', { dueFrom: day('2031-01-01'), dueTo: day('2031-04-09') });
  expect(draw({ visits: [over] })).not.toContain('class="span');
  const [, top = '', height = ''] =
    /class="span[^"]*" x="[\d.]+" y="([\d.]+)" width="[\d.]+" height="([\d.]+)"/.exec(draw({ visits: [underWay] })) ??
    [];
  const [, today = ''] = /class="today" cx="[\d.]+" cy="([\d.]+)"/.exec(draw({ visits: [underWay] })) ?? [];
  expect(Number(top)).toBeCloseTo(Number(today), 1);
  expect(Number(height)).toBeGreaterThan(100);
});

test('weeks with many visits are taller, so that each label stands within a label of its day', () => {
  const crowded = draw({ visits: [0, 1, 2, 3].map((lane) => visit('2031-03-08', { lane })) });
  const dash = Number(/class="dash" d="M[\d.]+ ([\d.]+)/.exec(crowded)?.[1]);
  const boxes = labelBoxes(crowded);
  const middle = boxes.reduce((sum, box) => sum + (box.top + box.bottom) / 2, 0) / boxes.length;
  expect(Math.abs(middle - dash)).toBeLessThan(60);
});
