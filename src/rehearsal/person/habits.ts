import type { Weekday } from '../../domain/day.js';

/** How the scripted person behaves; they know only what messages say. */
export interface PersonHabits {
  /** Chance that a question is answered. */
  readonly answersReading: number;
  /** Days until the answer, from and to. */
  readonly delayDays: readonly [number, number];
  readonly worksOn: readonly Weekday[];
  /** Chance that the work is done on the proposed working day, else on one a week later. */
  readonly doesWork: number;
  /** Chance that parts are bought after a `parts` notice; they arrive after their lead days. */
  readonly buysParts: number;
  readonly seed: number;
}

export const defaultHabits: PersonHabits = {
  answersReading: 0.8,
  delayDays: [1, 4],
  worksOn: ['sat', 'sun'],
  doesWork: 0.8,
  buysParts: 0.95,
  seed: 1,
};

/** Share of the interval: when the meter stands further before the limit, the person only enters the reading. */
export const tooEarlyShare = 0.2;
