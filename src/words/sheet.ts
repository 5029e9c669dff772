import type { SheetLine } from '../domain/results/sheet.js';
import { sayMinutes } from './dates.js';

/** One line of a bench sheet as lines of plain text; a box stands where something is ticked or written down.
 *  @returns at least one line
 *  Source: common practice, no source. */
export function saySheetLine(line: SheetLine): readonly string[] {
  switch (line.kind) {
    case 'state':
      return ['', `── ${line.text}`];
    case 'task':
      return ['', `${line.title}, ${sayMinutes(line.minutes)}${line.why === null ? '' : ` (${line.why})`}`];
    case 'caution':
      return [`   ${line.caution.signal}: ${line.caution.hazard} ${line.caution.avoid}`];
    case 'note':
      return [`   ${line.text}`];
    case 'step': {
      const at = [line.where, line.tool].filter((text) => text !== null).join('; ');
      const waits =
        line.unattendedMinutes === null ? '' : ` Then it needs ${sayMinutes(line.unattendedMinutes)} by itself.`;
      const caution = line.caution;
      const danger = caution === null ? [] : [`   ${caution.signal}: ${caution.hazard} ${caution.avoid}`];
      return [...danger, `${numbered(line.number)}[ ] ${line.text}${at === '' ? '' : ` (${at})`}${waits}`];
    }
    case 'measurement': {
      const { measurement } = line;
      const places = measurement.places ?? [];
      const fields =
        places.length === 0 ? ['found ______ left ______'] : places.map((p) => `${p}: found ______ left ______`);
      const method = measurement.method === undefined ? '' : `. ${measurement.method}`;
      return [
        `${numbered(line.number)}[ ] ${measurement.name}: ${line.limits}${method}`,
        ...fields.map((field) => `        ${field}`),
      ];
    }
    case 'points': {
      const { place, count, sides } = line.points;
      return [
        `${numbered(line.number)}${'[ ]'.repeat(Math.min(count, 12))} ${place}${sides === undefined ? '' : `, ${sides === 'both' ? 'both sides' : sides}`}`,
      ];
    }
    case 'outcomes':
      return [`${numbered(line.number)}${line.outcomes.map((outcome) => `[ ] ${outcome}`).join('  ')}`];
    case 'keep':
      return [`${numbered(line.number)}[ ] ${line.value.name}: found ______ left ______ ${line.value.unit}`];
    case 'if-out':
      return [
        `   If it is out, ${sayMinutes(line.minutes)} more${line.tools.length === 0 ? '' : `, with ${line.tools.join(', ')}`}:`,
        ...line.steps.map((step) => `        [ ] ${step.text}`),
      ];
  }
}

function numbered(number: number): string {
  return `${String(number).padStart(3)} `;
}
