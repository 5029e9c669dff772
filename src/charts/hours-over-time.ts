import { scaleLinear } from 'd3-scale';
import { area, curveMonotoneX, line } from 'd3-shape';
import { addDays, addMonths, type Day, dayOf, endOfDay, startOfDay, type Zone } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import type { HoursTrace } from '../domain/results/outlook.js';
import { coordinate, escapeText } from './escape.js';
import { textWidth, wrapText } from './wrap.js';

/** A line that the hours cross: where a task's limit lies. */
export interface HoursTarget {
  readonly hours: number;
  readonly text: string;
  /** Likely span of coming due, both ends included; null where unknown. */
  readonly due: { readonly from: Day; readonly to: Day } | null;
}

/** What the drawing of the hours shows. */
export interface HoursInput {
  readonly trace: HoursTrace;
  readonly readings: readonly { readonly atMs: number; readonly hours: number }[];
  /** Runs that a feed counted. */
  readonly runs: readonly Span[];
  readonly targets: readonly HoursTarget[];
  readonly nowMs: number;
  /** When the meter in use was put in, to draw from there on: the one before showed other hours. Null where it was the first. */
  readonly meterSinceMs: number | null;
  readonly zone: Zone;
  /** Text alternative: what the drawing shows, in one line and in sentences. */
  readonly title: string;
  readonly description: string;
  readonly id: string;
}

/** Words are English throughout. */
const monthName = new Intl.DateTimeFormat('en-GB', { month: 'short', timeZone: 'UTC' });
const number = new Intl.NumberFormat('en-GB');

const width = 340;
const height = 264;
const plot = { left: 38, right: 330, top: 12, bottom: 214 };
/** Names of targets: their font size, and the height that one takes. */
const nameSize = 12;
const nameHeight = 15;
const dueY = plot.bottom + 8;
const runsY = plot.bottom - 4;

/** Hours of a machine over time as SVG: readings as points, the estimate with its band between and after them, targets
 *  as lines across, the likely span of coming due on the date axis, runs of a feed as ticks along it.
 *  @param whole the trace's quantiles ascending in time; fewer than two instants and no reading give an empty text
 *  @returns     SVG text with classes for the style sheet, no style attribute, every text escaped
 *  Common practice, no source. */
export function drawHours(whole: HoursInput): string {
  const input = fromNewMeter(whole);
  const { trace } = input;
  const instants = [...trace.atMs, ...input.readings.map((reading) => reading.atMs)];
  const values = [...trace.p10, ...trace.p90, ...input.readings.map((reading) => reading.hours)];
  const fromMs = Math.min(...instants);
  const toMs = Math.max(...instants);
  if (instants.length < 2 || toMs <= fromMs) return '';
  const within = input.targets.filter((target) => target.hours <= Math.max(...values) * 1.02);
  const low = Math.min(...values);
  const high = Math.max(...values, ...within.map((target) => target.hours));
  const x = scaleLinear().domain([fromMs, toMs]).range([plot.left, plot.right]);
  const y = scaleLinear()
    .domain([low, high > low ? high : low + 1])
    .nice(5)
    .range([plot.bottom, plot.top]);
  const points = trace.atMs.map((atMs, index) => ({
    x: x(atMs),
    p10: y(trace.p10[index] ?? 0),
    p50: y(trace.p50[index] ?? 0),
    p90: y(trace.p90[index] ?? 0),
  }));
  const band = area<(typeof points)[number]>(
    (point) => point.x,
    (point) => point.p10,
    (point) => point.p90,
  ).curve(curveMonotoneX);
  const middle = line<(typeof points)[number]>(
    (point) => point.x,
    (point) => point.p50,
  ).curve(curveMonotoneX);

  return [
    `<svg class="hours" viewBox="0 0 ${width} ${height}" role="img" aria-labelledby="${input.id}-title ${input.id}-desc" xmlns="http://www.w3.org/2000/svg">`,
    `<title id="${input.id}-title">${escapeText(input.title)}</title><desc id="${input.id}-desc">${escapeText(input.description)}</desc>`,
    ...y
      .ticks(4)
      .map(
        (hours) =>
          `<path class="rule" d="M${plot.left} ${coordinate(y(hours))}H${plot.right}"/><text class="scale end" x="${plot.left - 5}" y="${coordinate(y(hours) + 4)}">${escapeText(number.format(hours))}</text>`,
      ),
    ...drawDates(input, fromMs, toMs, x),
    ...input.runs
      .filter((run) => run.toMs > fromMs && run.fromMs < toMs)
      .map((run) => {
        const start = x(Math.max(run.fromMs, fromMs));
        const length = Math.max(0.5, x(Math.min(run.toMs, toMs)) - start);
        return `<rect class="run" x="${coordinate(start)}" y="${runsY}" width="${coordinate(length)}" height="4"/>`;
      }),
    points.length > 1 ? `<path class="span lane-0" d="${shorten(band(points))}"/>` : '',
    points.length > 1 ? `<path class="estimate" d="${shorten(middle(points))}"/>` : '',
    ...drawTargets(within, x, y, input.zone, input.nowMs, toMs),
    `<path class="now" d="M${coordinate(x(input.nowMs))} ${plot.top}V${plot.bottom + 4}"/>`,
    ...input.readings.map(
      (reading) =>
        `<circle class="reading" cx="${coordinate(x(reading.atMs))}" cy="${coordinate(y(reading.hours))}" r="2.8"/>`,
    ),
    ...nameTargets(within, y, points),
    '</svg>',
  ].join('');
}

function fromNewMeter(whole: HoursInput): HoursInput {
  const { trace, meterSinceMs: sinceMs } = whole;
  if (sinceMs === null) return whole;
  const skipped = trace.atMs.filter((atMs) => atMs < sinceMs).length;
  return {
    ...whole,
    readings: whole.readings.filter((reading) => reading.atMs >= sinceMs),
    trace: {
      atMs: trace.atMs.slice(skipped),
      p10: trace.p10.slice(skipped),
      p50: trace.p50.slice(skipped),
      p90: trace.p90.slice(skipped),
    },
  };
}

function drawDates(input: HoursInput, fromMs: number, toMs: number, x: (atMs: number) => number): readonly string[] {
  const first = dayOf(fromMs, input.zone);
  const months = Math.max(1, Math.round((toMs - fromMs) / (30.44 * 86_400_000)));
  // At most six names fit the width of a phone.
  const step = [1, 2, 3, 6, 12, 24, 60].find((count) => months / count <= 6) ?? 120;
  const parts: string[] = [`<path class="axis" d="M${plot.left} ${plot.bottom}H${plot.right}"/>`];
  let day = addDays(first, 1 - Number(first.slice(8, 10)));
  for (; startOfDay(day, input.zone) <= toMs; day = addMonths(day, 1)) {
    const atMs = startOfDay(day, input.zone);
    const month = Number(day.slice(0, 4)) * 12 + Number(day.slice(5, 7)) - 1;
    if (atMs < fromMs || month % step !== 0) continue;
    const at = coordinate(x(atMs));
    const name = step >= 12 ? day.slice(0, 4) : monthName.format(new Date(day));
    const year = month % 12 === 0 && step < 12 ? `<tspan x="${at}" dy="13">${day.slice(0, 4)}</tspan>` : '';
    parts.push(`<path class="tick" d="M${at} ${plot.bottom}v5"/>`);
    // A name at the very edge would be cut off.
    if (x(atMs) > plot.right - 10) continue;
    parts.push(`<text class="scale mid" x="${at}" y="${plot.bottom + 31}">${escapeText(name)}${year}</text>`);
  }
  return parts;
}

function drawTargets(
  targets: readonly HoursTarget[],
  x: (atMs: number) => number,
  y: (hours: number) => number,
  zone: Zone,
  nowMs: number,
  toMs: number,
): readonly string[] {
  // A limit comes due from now on; what lies behind is past.
  const clamp = (atMs: number) => x(Math.min(toMs, Math.max(nowMs, atMs)));
  return targets.map((target) => {
    const due =
      target.due === null || startOfDay(target.due.from, zone) > toMs || endOfDay(target.due.to, zone) < nowMs
        ? ''
        : `<path class="due" d="M${coordinate(clamp(startOfDay(target.due.from, zone)))} ${dueY}H${coordinate(clamp(endOfDay(target.due.to, zone)))}"/>`;
    return `<path class="target-line" d="M${plot.left} ${coordinate(y(target.hours))}H${plot.right}"/>${due}`;
  });
}

/** Names above their lines, each clear of the one below it and of every line: hours rise to the right, so that the corner above on the left is
 *  free. One that would still lie on the estimate stands at the right, if that is free. */
function nameTargets(
  targets: readonly HoursTarget[],
  y: (hours: number) => number,
  points: readonly { readonly x: number; readonly p50: number }[],
): readonly string[] {
  const upwards = [...targets].sort((a, b) => a.hours - b.hours);
  const aboveLine = ({ hours }: HoursTarget) => y(hours) - 4 - nameSize;
  let below = Number.POSITIVE_INFINITY;
  const tops = upwards.map((target) => {
    let top = Math.min(aboveLine(target), below - nameHeight);
    for (const other of upwards) if (y(other.hours) > top && y(other.hours) < top + nameHeight) top = aboveLine(other);
    below = top;
    return top;
  });
  const tooHigh = Math.max(0, -Math.min(0, ...tops));
  return upwards.map((target, index) => {
    const text = wrapText(target.text, plot.right - plot.left - 12, nameSize, false, 1)[0] ?? '';
    const top = (tops[index] ?? 0) + tooHigh;
    const room = textWidth(text, nameSize, false);
    const isFree = (from: number) =>
      !points.some(
        (point) => point.x >= from && point.x <= from + room && point.p50 >= top - 2 && point.p50 <= top + nameHeight,
      );
    const isRight = !isFree(plot.left + 6) && isFree(plot.right - 4 - room);
    const place = isRight
      ? `class="target-name end" x="${plot.right - 4}"`
      : `class="target-name" x="${plot.left + 6}"`;
    return `<text ${place} y="${coordinate(top + nameSize)}">${escapeText(text)}</text>`;
  });
}

function shorten(path: string | null): string {
  return (path ?? '').replace(/\d+\.\d+/g, (number) => coordinate(Number(number)));
}
