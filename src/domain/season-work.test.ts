import { expect, it } from 'vitest';
import { aDue, aTask, inDays } from '../../tests/stage/visit-scene.js';
import { findOutOfSeason } from './season-work.js';

const { every: _, ...seasonOnly } = aTask('winter-fuel', { season: { before: '12-01', days: 10 } });
const tasks = [aTask('oil'), seasonOnly];
const dues = [aDue('oil', 5), aDue('winter-fuel', 200, { limit: 'season', calendarDay: inDays(200) })];
const found = (day: number) => findOutOfSeason(['oil', 'winter-fuel'], inDays(day), { tasks }, dues);

it('season work more than 60 days before its day is out of season, from then on it is not', () => {
  expect(found(139)).toEqual({ task: 'winter-fuel', seasonDay: inDays(200) });
  expect(found(140)).toBeNull();
});

it('work with an interval of its own is never out of season', () => {
  const oil = [aDue('oil', 400, { limit: 'season', calendarDay: inDays(400) })];
  expect(
    findOutOfSeason(['oil'], inDays(0), { tasks: [aTask('oil', { season: { before: '12-01', days: 10 } })] }, oil),
  ).toBeNull();
});
