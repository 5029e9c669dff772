import type { Finding } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { sayFluidUsed } from './fluid-used.js';
import { ended } from './sentence.js';

/** One finding of a record: `gap of the brake spring: found 38 mm (outside its limits), left 42 mm. rusty`. The verdict stands beside
 *  the value that it is about: as found, and as left where a value is adjusted by steps or was not taken as found.
 *  @param finding  as kept
 *  @param machine  for the names of its measurements
 *  Source: definition. */
export function sayFinding(finding: Finding, machine: Pick<Machine, 'tasks'>): string {
  const fluid = sayFluidUsed(finding);
  if (fluid !== null) return fluid;
  const task = machine.tasks.find((one) => one.id === finding.task);
  const measurement = task?.measure.find((one) => one.id === finding.measurement);
  const name = measurement?.name ?? finding.measurement.replaceAll('-', ' ');
  const place = finding.place === null ? '' : `, ${finding.place}`;
  const verdict = sayVerdict(finding.verdict);
  const isJudgedAsLeft = finding.found === null || measurement?.specification.kind === 'adjustThen';
  const values = [
    finding.found === null ? '' : `found ${finding.found}${isJudgedAsLeft ? '' : verdict}`,
    finding.left === null ? '' : `left ${finding.left}${isJudgedAsLeft ? verdict : ''}`,
  ].filter((text) => text !== '');
  const said = values.length === 0 ? '' : `: ${values.join(', ')}`;
  return finding.note === null ? `${name}${place}${said}` : `${ended(`${name}${place}${said}`)} ${finding.note}`;
}

function sayVerdict(verdict: Finding['verdict']): string {
  if (verdict === null) return '';
  if (verdict === 'too close to call') return ' (too close to call)';
  return ` (${verdict === 'in' ? 'within' : 'outside'} its limits)`;
}
