import { scaleLinear } from 'd3-scale';
import { line } from 'd3-shape';
import { addDays, addMonths, type Day, daysBetween, earlierDay, laterDay } from '../domain/day.js';
import { coordinate, escapeText } from './escape.js';
import { placeLabels } from './place-labels.js';
import { textWidth, wrapText } from './wrap.js';

/** One visit in the almanac, its words already made. */
export interface AlmanacVisit {
  readonly day: Day;
  /** Likely span of coming due, both ends included. */
  readonly dueFrom: Day;
  readonly dueTo: Day;
  /** Place of the machine among the lanes, from 0. */
  readonly lane: number;
  readonly who: string;
  readonly what: string;
  readonly when: string;
  /** Where a tap on the label leads; null: nowhere, as in a mail. */
  readonly href: string | null;
}

/** Something of the year that falls on a day, such as the last frost. */
interface AlmanacMark {
  readonly day: Day;
  readonly text: string;
}

/** What the drawing of the months ahead shows. */
export interface MonthsAheadInput {
  readonly today: Day;
  /** Last day drawn; the month is completed. */
  readonly until: Day;
  readonly lanes: number;
  readonly visits: readonly AlmanacVisit[];
  readonly marks: readonly AlmanacMark[];
  /** Days on which the household works on machines, drawn as ticks. */
  readonly workingDays: readonly Day[];
  /** Text alternative: what the drawing shows, in one line and in sentences. */
  readonly title: string;
  readonly description: string;
  /** Makes the ids of title and description differ between two drawings on one page. */
  readonly id: string;
}

/** Drawing units; the drawing is 340 wide so that a phone of 360 shows it about one to one. */
const width = 340;
const perDay = 3.6;
const top = 18;
const axisX = 70;
const firstLaneX = 78;
const lanesWidth = 44;
const barWidth = 8;
const lineHeights = { who: 15, what: 18, when: 16, mark: 18 };
const labelGap = 10;
/** Least height of a label that is tapped, with the gap: 48 px on a phone. */
const leastTarget = 46;

/** Words are English throughout; the locale decides only the order of day and month, and a month stands alone here. */
const monthName = new Intl.DateTimeFormat('en-GB', { month: 'long', timeZone: 'UTC' });
const shortName = new Intl.DateTimeFormat('en-GB', { month: 'short', timeZone: 'UTC' });
/** The italic serif of month names is narrower than the face that `textWidth` is made for. Measured by eye. */
const monthFont = { size: 12.5, share: 0.9 };

interface Label {
  /** Top that puts the label beside its day. */
  readonly wanted: number;
  readonly height: number;
  readonly anchorY: number;
  /** Where the thin line to the label starts; null for a mark of the year. */
  readonly leadFromX: number | null;
  readonly draw: (labelTop: number) => string;
}

/** The months ahead as an SVG almanac: months run down, each visit stands at its day with the span of doubt as a bar,
 *  and labels are pushed apart until none overlaps.
 *  @param input days of the household; visits and marks after `until` are left out, visits before today stand at today
 *  @returns     SVG text with classes for the style sheet, no style attribute, every text escaped
 *  Common practice, no source. */
export function drawMonthsAhead(input: MonthsAheadInput): string {
  const lastDay = addDays(addMonths(monthStart(laterDay(input.until, input.today)), 1), -1);
  const y = scaleDays(input, lastDay);
  const yOf = (day: Day) => y(daysBetween(input.today, earlierDay(laterDay(day, input.today), lastDay)));
  const laneStep = laneWidth(input.lanes);
  const bar = Math.min(barWidth, laneStep - 1);
  const laneX = (lane: number) => firstLaneX + lane * laneStep;
  const labelX = labelStart(input.lanes);

  const visits = input.visits.filter((visit) => visit.day <= lastDay);
  const marks = input.marks.filter((mark) => mark.day >= input.today && mark.day <= lastDay);
  const labels = [
    ...visits.map((visit) => visitLabel(visit, yOf(visit.day), labelX, laneX(visit.lane) + bar + 4)),
    ...marks.map((mark) => markLabel(mark, yOf(mark.day), labelX)),
  ].sort((a, b) => a.anchorY - b.anchorY);
  const tops = placeLabels(labels, 0);
  const labelsEnd = labels.reduce((low, label, index) => Math.max(low, (tops[index] ?? 0) + label.height), 0);
  const height = Math.max(yOf(lastDay), labelsEnd) + 8;

  return [
    `<svg class="almanac" viewBox="0 0 ${width} ${coordinate(height)}" role="group" aria-labelledby="${input.id}-title ${input.id}-desc" xmlns="http://www.w3.org/2000/svg">`,
    `<title id="${input.id}-title">${escapeText(input.title)}</title><desc id="${input.id}-desc">${escapeText(input.description)}</desc>`,
    ...drawMonthNames(input, lastDay, yOf),
    ...input.workingDays
      .filter((day) => day > input.today && day <= lastDay)
      .map((day) => `<path class="tick" d="M${axisX + 2} ${coordinate(yOf(day))}h4"/>`),
    `<path class="axis" d="M${axisX} ${top}V${coordinate(yOf(lastDay))}"/>`,
    ...visits
      // A span that is over, or begins after the last month, would shrink to a dot that says nothing.
      .filter((visit) => visit.dueTo >= input.today && visit.dueFrom <= lastDay)
      .map((visit) => drawBar(visit, laneX(visit.lane), bar, yOf)),
    ...labels.map((label, index) => drawLead(label, (tops[index] ?? 0) + lineHeights.who + 8, labelX)),
    ...visits.map(
      (visit) =>
        `<path class="dash" d="M${coordinate(laneX(visit.lane) + 0.5)} ${coordinate(yOf(visit.day))}h${coordinate(bar - 1)}"/>`,
    ),
    ...marks.map((mark) => `<path class="leaf" d="M${axisX - 4} ${coordinate(yOf(mark.day))}h8"/>`),
    `<circle class="today" cx="${axisX}" cy="${top}" r="4.5"/>`,
    ...labels.map((label, index) => label.draw(tops[index] ?? 0)),
    '</svg>',
  ].join('');
}

/** Days to drawing units. A week takes the room that its labels need, so that they stand beside their days even where
 *  several visits fall close together; an empty week keeps its usual height. */
function scaleDays(input: MonthsAheadInput, lastDay: Day): (days: number) => number {
  const days = Math.max(1, daysBetween(input.today, lastDay));
  const ends = Array.from({ length: Math.ceil(days / 7) }, (_, week) => Math.min(days, (week + 1) * 7));
  const labelX = labelStart(input.lanes);
  const heights = ends.map((end, week) => {
    const isIn = (day: Day) => {
      const at = Math.max(0, daysBetween(input.today, day));
      return at >= week * 7 && (at < end || (end === days && at === days));
    };
    const room = [
      ...input.visits.filter((visit) => isIn(visit.day)).map((visit) => visitLabel(visit, 0, labelX, 0).height),
      ...input.marks.filter((mark) => isIn(mark.day)).map((mark) => markLabel(mark, 0, labelX).height),
    ].reduce((sum, height) => sum + height, 0);
    return Math.max((end - week * 7) * perDay, room);
  });
  let reached = top;
  const range = heights.map((height) => {
    reached += height;
    return reached;
  });
  return scaleLinear()
    .domain([0, ...ends])
    .range([top, ...range]);
}

function laneWidth(lanes: number): number {
  return Math.min(12, lanesWidth / Math.max(1, lanes));
}

function labelStart(lanes: number): number {
  return firstLaneX + Math.max(1, lanes) * laneWidth(lanes) + 20;
}

function drawMonthNames(input: MonthsAheadInput, lastDay: Day, yOf: (day: Day) => number): readonly string[] {
  const parts: string[] = [];
  for (let first = monthStart(input.today); first <= lastDay; first = addMonths(first, 1)) {
    const long = monthName.format(new Date(first));
    const isThisMonth = first <= input.today;
    // Today's dot takes a little of the room.
    const room = axisX - (isThisMonth ? 14 : 8);
    const isWide = textWidth(long, monthFont.size, false) * monthFont.share > room;
    const name = isWide ? shortName.format(new Date(first)) : long;
    // The rest of this month may be too short for its name: then the next month's name stands alone.
    if (isThisMonth && yOf(addMonths(first, 1)) - top < lineHeights.what + 10) continue;
    const at = isThisMonth ? top : yOf(first);
    // Not through the labels: they stand where their days are, not between the rules.
    if (!isThisMonth) {
      parts.push(`<path class="rule" d="M0 ${coordinate(at)}H${coordinate(labelStart(input.lanes) - 8)}"/>`);
    }
    const year = first.slice(5, 7) === '01' ? ` <tspan x="0" dy="16">${first.slice(0, 4)}</tspan>` : '';
    parts.push(
      `<text class="month" x="0" y="${coordinate(at + (isThisMonth ? 5 : 16))}">${escapeText(name)}${year}</text>`,
    );
  }
  return parts;
}

function drawBar(visit: AlmanacVisit, x: number, bar: number, yOf: (day: Day) => number): string {
  const from = yOf(visit.dueFrom);
  const height = Math.max(bar, yOf(visit.dueTo) - from);
  return `<rect class="span lane-${visit.lane % 3}" x="${coordinate(x)}" y="${coordinate(from)}" width="${coordinate(bar)}" height="${coordinate(height)}" rx="${coordinate(bar / 2)}"/>`;
}

function drawLead(label: Label, targetY: number, labelX: number): string {
  if (label.leadFromX === null) return '';
  const path = line()([
    [label.leadFromX, label.anchorY],
    [labelX - 17, label.anchorY],
    [labelX - 5, targetY],
  ]);
  return `<path class="lead" d="${path === null ? '' : path.replace(/\d+\.\d+/g, (number) => coordinate(Number(number)))}"/>`;
}

function visitLabel(visit: AlmanacVisit, anchorY: number, x: number, leadFromX: number): Label {
  const room = width - x;
  const who = wrapText(visit.who, room, 11.5, false, 2);
  const what = wrapText(visit.what, room, 15, true, 4);
  // A dot between two parts does not stand at the end of a line.
  const when = wrapText(visit.when, room, 12.5, false, 3).map((words) => words.replace(/ ·$/, ''));
  const textHeight = who.length * lineHeights.who + what.length * lineHeights.what + when.length * lineHeights.when;
  const height = Math.max(textHeight, leastTarget) + labelGap;
  return {
    wanted: anchorY - lineHeights.who - 8,
    height,
    anchorY,
    leadFromX,
    draw: (labelTop) => {
      let baseline = labelTop;
      const text = (kind: 'who' | 'what' | 'when', lines: readonly string[]) =>
        lines
          .map((words) => {
            baseline += lineHeights[kind];
            return `<text class="${kind}" x="${coordinate(x)}" y="${coordinate(baseline - 3)}">${escapeText(words)}</text>`;
          })
          .join('');
      const words = `${text('who', who)}${text('what', what)}${text('when', when)}`;
      const target = `<rect class="target" x="${coordinate(x - 4)}" y="${coordinate(labelTop - 2)}" width="${coordinate(room + 4)}" height="${coordinate(height - labelGap + 4)}" rx="4"/>`;
      if (visit.href === null) return `<g>${words}</g>`;
      return `<a href="${escapeText(visit.href)}" aria-label="${escapeText(`${visit.who}: ${visit.what}, ${visit.when}`)}">${target}${words}</a>`;
    },
  };
}

function markLabel(mark: AlmanacMark, anchorY: number, x: number): Label {
  const lines = wrapText(mark.text, width - x, 13, false, 2);
  return {
    wanted: anchorY - 10,
    height: lines.length * lineHeights.mark + 4,
    anchorY,
    leadFromX: null,
    draw: (labelTop) =>
      lines
        .map(
          (words, index) =>
            `<text class="mark" x="${coordinate(x)}" y="${coordinate(labelTop + 14 + index * lineHeights.mark)}">${escapeText(words)}</text>`,
        )
        .join(''),
  };
}

function monthStart(day: Day): Day {
  return addDays(day, 1 - Number(day.slice(8, 10)));
}
