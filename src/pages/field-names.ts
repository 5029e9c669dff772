/** What a person typed into the sheet so far, by field name; empty where nothing. */
export type Typed = (name: string) => string;

/** Name of a measurement's field; `place` counts the places, 0 where there is one. `second` is the other of two values, a
 *  time beside "passed", or what was topped up. */
export function findingName(
  line: { readonly task: string; readonly measurement: { readonly id: string } },
  place: number,
  what: 'found' | 'second' | 'left' | 'note',
): string {
  return `m.${line.task}.${line.measurement.id}.${place}.${what}`;
}

/** Name of the field of a value that is kept without a limit. By what it is, not by its place: the sheet may have changed
 *  by the time it comes back. */
export function keepName(
  line: { readonly task: string; readonly value: { readonly name: string } },
  what: 'found' | 'left',
): string {
  return `keep.${line.task}.${line.value.name.slice(0, 80)}.${what}`;
}

/** Name of the choice of what a task turned out to be. */
export function outcomeName(task: string): string {
  return `outcome.${task}`;
}

/** Name of the field for grease points that took none. By what they are, as with kept values. */
export function blockedName(line: { readonly task: string; readonly points: { readonly place: string } }): string {
  return `blocked.${line.task}.${line.points.place.slice(0, 80)}`;
}

/** Name of the ticks of points, one value each as domain/greased names them. */
export function pointsName(line: {
  readonly task: string;
  readonly points: { readonly place: string; readonly sides?: string };
}): string {
  return `points.${line.task}.${line.points.place.slice(0, 80)}.${line.points.sides ?? 'one'}`;
}

/** Name of the tick that leaves a job for a visit of its own. */
export function notTodayName(task: string): string {
  return `apart.${task}`;
}

/** Name of the one tick that says of every place of a task's looks that it is sound. */
export function allSoundName(task: string): string {
  return `sound.${task}`;
}

/** What a link to a field leads to: its name as an id, which holds no blank. */
export function fieldId(name: string): string {
  return `at-${name.replace(/[^A-Za-z0-9.-]/g, '_')}`;
}
