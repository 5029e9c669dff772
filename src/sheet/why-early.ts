import type { EarlyWork, SharedAccess } from '../domain/results/visit.js';

const months = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
] as const;

/** Why a task is done before its time, for its heading: "done 12 h early: saves taking the side panel off again in June".
 *  @param early  as planned
 *  @param day    of the visit
 *  Source: definition. */
export function sayWhyEarly({ hoursEarly, ownDay, saves }: EarlyWork, day: string): string {
  const lead = hoursEarly === null || hoursEarly < 0.5 ? 'done early' : `done ${Math.round(hoursEarly)} h early`;
  const again = saves === null ? 'a visit of its own' : `${sayAgain(saves)} again`;
  const year = ownDay.slice(0, 4) === day.slice(0, 4) ? '' : ` ${ownDay.slice(0, 4)}`;
  return `${lead}: saves ${again} in ${months[Number(ownDay.slice(5, 7)) - 1]}${year}`;
}

function sayAgain(saves: SharedAccess): string {
  switch (saves.kind) {
    case 'cover':
    case 'fitting':
      return `taking the ${saves.name.replaceAll('-', ' ')} off`;
    case 'raised':
      return `raising the ${saves.name}`;
    case 'battery':
      return 'disconnecting the battery';
    case 'warm':
      return 'running the engine warm';
  }
}
