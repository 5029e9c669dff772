import { tasksLimitedByCold } from '../domain/coldest-limit.js';
import { coldestNight } from '../domain/coldest-night.js';
import type { Machine } from '../domain/machine.js';
import { nightsOf } from '../store/facts/nights.js';
import type { Books } from './books.js';

/** A machine whose limits that follow the cold stand where this household's coldest night puts them, as on the bench sheet. */
export function judgedByCold(machine: Machine, books: Books): Machine {
  const { household } = books.home();
  const coldest = coldestNight(household, household.temperature === undefined ? [] : nightsOf(books.store));
  return { ...machine, tasks: tasksLimitedByCold(machine.tasks, coldest, household.units) };
}
