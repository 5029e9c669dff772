import type { RequestHandler } from 'express';
import { expectedUnitIn } from '../domain/expected-unit.js';
import type { Household } from '../domain/household.js';
import type { Task } from '../domain/task.js';
import { judgedByCold } from '../ledger/judged-by-cold.js';
import { verdictSoFar } from '../ledger/verdict-so-far.js';
import { findingName } from './field-names.js';
import type { Given } from './given.js';
import { type Form, readForm } from './guard/form.js';
import { sendPlain } from './guard/plain.js';
import { heldVisit } from './held-visit.js';
import { readMeasured } from './read-findings.js';
import type { Shown } from './shown.js';

/** The verdict of each finding that a form holds, by the name of its field as found; nothing where nothing can be said yet. */
export type Verdicts = Readonly<Record<string, string>>;

/** Verdicts on a sheet in work, from what is typed so far. Only measurements of the visit's own work are looked at. */
export function verdictsIn(
  given: Given,
  form: Form,
  { machine, household }: Shown,
  tasks: readonly string[],
): Verdicts {
  const own = judgedByCold(machine, given.books).tasks.filter(({ id }) => tasks.includes(id));
  return Object.fromEntries(own.flatMap((task) => verdictsOfTask(form, task, household.units)));
}

function verdictsOfTask(
  form: Form,
  { id, measure }: Task,
  units: Household['units'],
): readonly (readonly [string, string])[] {
  return measure.flatMap((measurement) => {
    const line = { task: id, measurement, unit: expectedUnitIn(measurement.specification, units) };
    return readMeasured(form, line)
      .map((finding, place) => [findingName(line, place, 'found'), verdictSoFar(measurement, finding)] as const)
      .filter(([, said]) => said !== '');
  });
}

/** Judges what is typed into an open sheet and keeps nothing; the answer is JSON: `said`, sentences by the name of the field. */
export function judgeSheet(given: Given): RequestHandler<{ id: string }> {
  return (request, response) => {
    const form = readForm(request);
    const held = heldVisit(given, request.params.id, form);
    if (held === null) return sendPlain(response, 404, 'There is no such sheet.');
    const said = verdictsIn(given, form, held.shown, held.visit.tasks);
    response.set('Cache-Control', 'no-store').json({ said });
  };
}
