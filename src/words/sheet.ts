import { pointsToTick } from '../domain/greased.js';
import type { SheetHeading, SheetLine } from '../domain/results/sheet.js';
import { type Specification, setToEntries, testEntries } from '../domain/specification.js';
import type { Points } from '../domain/task.js';
import { sayMinutes } from './dates.js';

/** One line of a bench sheet as lines of plain text; a box stands where something is ticked or written down.
 *  @returns at least one line
 *  Source: common practice, no source. */
export function saySheetLine(line: SheetLine): readonly string[] {
  switch (line.kind) {
    case 'state':
      return ['', `── ${line.text}`];
    case 'task':
      return ['', `${line.title}, ${sayJobMinutes(line)}${line.why === null ? '' : ` (${line.why})`}`];
    case 'caution':
      return [`   ${line.caution.signal}: ${line.caution.hazard} ${line.caution.avoid}`];
    case 'note':
      return [`   ${line.text}`];
    case 'step': {
      const at = [line.where, line.tool].filter((text) => text !== null).join('; ');
      const waits =
        line.unattendedMinutes === null
          ? ''
          : `${/[.!?]$/.test(line.text) || at !== '' ? '' : '.'} Then it needs ${sayMinutes(line.unattendedMinutes)} by itself.`;
      const caution = line.caution;
      const danger = caution === null ? [] : [`   ${caution.signal}: ${caution.hazard} ${caution.avoid}`];
      return [...danger, `${numbered(line.number)}[ ] ${line.text}${at === '' ? '' : ` (${at})`}${waits}`];
    }
    case 'measurement': {
      const { measurement } = line;
      const places = measurement.places ?? [];
      const field = sayField(measurement.specification, line.unit);
      const fields = places.length === 0 ? [field] : places.map((place) => `${place}: ${field}`);
      const method = measurement.method === undefined ? '' : `. ${measurement.method}`;
      return [
        `${numbered(line.number)}[ ] ${measurement.name}: ${line.limits}${method}`,
        ...fields.map((field) => `        ${field}`),
      ];
    }
    case 'points': {
      return [
        `${numbered(line.number)}${sayPoints(line.points)}`,
        `        ${pointsToTick(line.points)
          .map((point) => `[ ] ${point}`)
          .join('  ')}  takes no grease: ______`,
      ];
    }
    case 'outcomes':
      return [`${numbered(line.number)}${line.outcomes.map((outcome) => `[ ] ${outcome}`).join('  ')}`];
    case 'keep':
      return [`${numbered(line.number)}[ ] ${line.value.name}: found ______ left ______ ${line.value.unit}`];
    case 'if-out':
      return [
        `   If it is out, ${sayMinutes(line.minutes)} more${line.tools.length === 0 ? '' : `, with ${line.tools.join(', ')}`}:`,
        ...line.steps.flatMap(({ caution, text }) => [
          ...(caution === null ? [] : [`        ${caution.signal}: ${caution.hazard} ${caution.avoid}`]),
          `        [ ] ${text}`,
        ]),
        `        [ ] ${notToday}`,
      ];
  }
}

/** Where grease goes in, and how many points: `arm pivots, both sides: 2 points on each`.
 *  Source: definition. */
export function sayPoints({ place, count, sides }: Points): string {
  const where = sides === undefined ? place : `${place}, ${sides === 'both' ? 'both sides' : sides}`;
  return `${where}: ${count} ${count === 1 ? 'point' : 'points'}${sides === 'both' ? ' on each' : ''}`;
}

/** Beside work that only a bad finding brings: it need not be done on the same day. */
export const notToday = 'Not today: make it a visit of its own';

/** Minutes of a job, and how many it takes where it was out: `5 min, or 45 if it needs adjusting`, `20 min, or 1 h 05 if it needs
 *  adjusting`.
 *  @param minutesIfOut  those of the work that a bad finding brings among them; null: it brings none
 *  Source: common practice, no source. */
export function sayJobMinutes({ minutes, minutesIfOut }: Pick<SheetHeading, 'minutes' | 'minutesIfOut'>): string {
  if (minutesIfOut === null) return sayMinutes(minutes);
  return `${sayMinutes(minutes)}, or ${sayMinutes(minutesIfOut).replace(/ min$/, '')} if it needs adjusting`;
}

/** What is written down at one place of a measurement: boxes where one of a few words is the answer. */
function sayField(specification: Specification, unit: string | null): string {
  const boxes = (words: readonly string[]) => words.map((word) => `[ ] ${word}`).join('  ');
  switch (specification.kind) {
    case 'test':
      return `${boxes(testEntries)}${specification.longest === undefined ? '' : '  time ______'}`;
    case 'setTo':
      return boxes(setToEntries);
    case 'level':
      return `found ______ topped up ______ ${unit ?? 'L'}`;
    default:
      return `found ______ left ______${unit === null ? '' : ` ${unit}`}`;
  }
}

function numbered(number: number): string {
  return `${String(number).padStart(3)} `;
}
