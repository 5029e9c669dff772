import { dayNumber } from '../domain/day.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { dealerAfterLookDays, dealerAgainDays, gettingToKnowDays } from './constants.js';
import { askedOn } from './earliest-day.js';
import { isLookBegun } from './first-look.js';
import { matchOpenVisits } from './open-visits.js';
import { partsHereFrom } from './parts-here.js';
import { isAway, type Scene } from './scene.js';
import { listShopping } from './shopping.js';
import { writeVisit } from './write-visit.js';

/** The visit for everything whose past nobody knows: one, on a working day soon but not tomorrow, and never late; what the
 *  dealer does of it comes three weeks after the owner's own look, or three weeks from today. Once announced it keeps its day
 *  until that has passed, whatever becomes of the look: a dealer was booked for it.
 *  @param lookOn  number of the day of the owner's own look; null: there is none
 *  Source: common practice, no source. */
export function planGettingToKnow(scene: Scene, by: Task['by'], lookOn: number | null): Visit[] {
  const { machine, dues, facts, household, today, days } = scene;
  const byId = new Map(machine.tasks.map((task) => [task.id, task]));
  const unknown = dues.flatMap((due) => {
    const task = byId.get(due.task);
    if (task === undefined || task.by !== by || !due.unknownLast || due.day === null) return [];
    if (due.limit === 'use' || due.limit === 'noticed') return [];
    return [{ task, due, costs: [], best: 0 }];
  });
  if (unknown.length === 0) return [];
  const match = matchOpenVisits([unknown.map((c) => c.task.id)], scene.open)[0] ?? null;
  const asked = unknown.map((c) => askedOn(c.due, facts, household)).filter((day) => day !== null);
  // The first look waits for no parts: it tells which are needed.
  const items = isLookBegun(match?.visit.id ?? null, facts)
    ? listShopping(
        unknown.map((c) => c.task),
        facts,
        household,
      )
    : [];
  const earliest = Math.max(
    partsHereFrom(
      items,
      unknown.map((c) => c.due),
      facts,
      household,
      scene.orderDay,
    ),
    ...asked.map(dayNumber),
  );
  const afterLook = by === 'dealer' && lookOn !== null ? lookOn + dealerAfterLookDays : today;
  const suits = (day: number) => day >= earliest && !isAway(day, scene);
  const kept = match === null ? null : dayNumber(match.visit.day);
  const [first, again] = by === 'dealer' ? [dealerAfterLookDays, dealerAgainDays] : [gettingToKnowDays, 1];
  const soonest = Math.max(afterLook, today + (kept === null ? first : again));
  const day =
    kept !== null && kept >= today && days.includes(kept) && suits(kept)
      ? kept
      : days.find((d) => d >= soonest && suits(d));
  return day === undefined ? [] : [writeVisit(scene, unknown, match, day, 'getting-to-know')];
}
