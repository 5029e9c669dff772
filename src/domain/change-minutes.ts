/** Minutes of each change of a machine's state: `run-warm` is a warm-up and the stop after it, `brief` a start and a stop.
 *  Source: common practice, no source. */
export const changeMinutes = {
  'warm-up': 10,
  'run-warm': 11,
  'cool-down': 45,
  start: 1,
  stop: 1,
  brief: 2,
  raise: 8,
  lower: 4,
  'cover-off': 2,
  'cover-on': 3,
  'fitting-off': 12,
  'fitting-on': 12,
  'battery-off': 3,
  'battery-on': 3,
} as const;
