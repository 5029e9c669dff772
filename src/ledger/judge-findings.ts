import { betweenTwo, withUnitEntered } from '../domain/expected-unit.js';
import type { Finding } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import { placeOfFinding } from '../domain/finding-place.js';
import { amountUsed, fluidOf, meetsDemand, wrongFluid } from '../domain/fluid-used.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { tellsOfBeginning } from '../domain/open-findings.js';
import type { Verdict, VerdictKind } from '../domain/results/verdict.js';
import { adjustedIn, type Fluid, type Measurement } from '../domain/task.js';
import { hasVerdict, judge } from '../inspection/judge.js';
import { refusal } from './errors.js';
import { plainText } from './plain-text.js';

/** What was found, and the tasks of which something was left outside its limits. */
interface Judged {
  readonly findings: readonly Finding[];
  readonly leftOut: ReadonlySet<string>;
}

/** Findings as they are kept: texts as typed, a bare number with the unit that it was entered in, each with the verdict of the day. Entries that say nothing are left out.
 *  What is no measurement of its task (points, kept values, outcomes) has no verdict. Without a value as left, what was found
 *  stands; a fluid that was low and topped up is well again.
 *  @param units  the household's: what a bare amount of a fluid means
 *  @param begun  tasks of the visit that may be told of without being done: points and looks that found all well are kept
 *  @throws Fault finding-of-another-task, finding-unreadable, value-left-missing, text-too-long */
export function judgeFindings(
  machine: Machine,
  tasks: readonly string[],
  findings: readonly Finding[],
  units: Household['units'],
  begun: readonly string[] = [],
): Judged {
  const leftOut = new Set<string>();
  const judged = findings.flatMap((raw) => {
    const finding = {
      ...raw,
      found: plainText(raw.found),
      left: plainText(raw.left),
      note: plainText(raw.note),
    };
    if (finding.found === null && finding.left === null && finding.note === null) return [];
    const isBegun = begun.includes(finding.task);
    if (!tasks.includes(finding.task) && !isBegun) throw ofAnotherTask(finding);
    const task = machine.tasks.find((t) => t.id === finding.task);
    const measurement = task?.measure.find((m) => m.id === finding.measurement);
    const fluid = fluidOf(task, finding);
    if (fluid !== null) {
      if (isBegun) throw ofAnotherTask(finding);
      const amount = finding.left === null ? null : amountOf(fluid, finding, finding.left, units);
      return [{ ...finding, left: amount, note: noteOnFluid(fluid, finding), verdict: null }];
    }
    if (measurement === undefined) {
      if (isBegun && !tellsOfBeginning({ ...finding, verdict: null })) throw ofAnotherTask(finding);
      return [{ ...finding, verdict: null }];
    }
    const { verdict, asLeft } = verdictsOf(measurement, finding);
    const isLook = measurement.specification.kind === 'look';
    if (isBegun && !(isLook && tellsOfBeginning({ ...finding, verdict }))) throw ofAnotherTask(finding);
    if (asLeft === 'out') leftOut.add(finding.task);
    const kept = (text: string | null) => (text === null ? null : withUnitEntered(measurement.specification, text));
    return [{ ...finding, found: kept(finding.found), left: kept(finding.left), verdict }];
  });
  return { findings: judged, leftOut };
}

function ofAnotherTask(finding: Finding): Fault {
  return refusal('finding-of-another-task', 'A finding is of a task that is not confirmed', {
    place: placeOfFinding(finding, finding.found === null && finding.left !== null ? 'left' : 'found'),
    remedy: 'Tick that task too, or clear the finding.',
  });
}

/** What is adjusted is not done before its value as left is written down: at each place of each such measurement of our own work.
 *  @param tasks     ticked, the owner's and the dealer's
 *  @param findings  as told
 *  @throws Fault value-left-missing */
export function checkAdjusted(
  machine: Pick<Machine, 'tasks'>,
  tasks: readonly string[],
  findings: readonly Finding[],
): void {
  for (const task of machine.tasks.filter(({ id, by }) => by === 'owner' && tasks.includes(id))) {
    for (const measurement of adjustedIn(task)) {
      for (const place of measurement.places ?? [null]) {
        const isThis = (one: Finding) =>
          one.task === task.id && one.measurement === measurement.id && one.place === place;
        if (findings.some((one) => isThis(one) && plainText(one.left) !== null)) continue;
        const finding = { task: task.id, measurement: measurement.id, place };
        throw refusal(
          'value-left-missing',
          `“${task.title}” is not done without a value: ${nameIn(measurement, place)}, as left`,
          {
            place: placeOfFinding(finding, 'left'),
            remedy: 'Adjust it and write the value as left on the sheet of the visit, or leave this job unticked.',
          },
        );
      }
    }
  }
}

interface Verdicts {
  readonly verdict: VerdictKind | null;
  readonly asLeft: VerdictKind | null;
}

function verdictsOf(measurement: Measurement, finding: Finding): Verdicts {
  const { specification } = measurement;
  if (!hasVerdict(specification)) return { verdict: null, asLeft: null };
  const adjusts = specification.kind === 'adjustThen';
  if (adjusts && finding.found !== null && finding.left === null) {
    throw refusal('value-left-missing', `${nameOf(measurement, finding)}: the value as left is missing`, {
      place: placeOfFinding(finding, 'left'),
      remedy: 'Adjust it, then enter the value as left.',
    });
  }
  const found = verdictOn(measurement, finding, 'found');
  const left = verdictOn(measurement, finding, 'left');
  const isToppedUp = specification.kind === 'level' && found?.verdict === 'out' && found.value > 0;
  const asLeft = left ?? (isToppedUp ? null : found);
  return { verdict: (adjusts ? left : found)?.verdict ?? null, asLeft: asLeft?.verdict ?? null };
}

/** The warning, or that it is as demanded under another name; nothing where nothing is demanded. */
function noteOnFluid(fluid: Fluid, finding: Finding): string | null {
  const isOtherName = fluid.must !== undefined && finding.found !== null && finding.note === meetsDemand;
  return isOtherName ? meetsDemand : wrongFluid(fluid, finding);
}

function amountOf(fluid: Fluid, finding: Finding, text: string, units: Household['units']): string {
  try {
    return amountUsed(fluid, text, units);
  } catch (cause) {
    throw unreadable(fluid.name, finding, 'left', text, cause);
  }
}

function verdictOn(measurement: Measurement, finding: Finding, moment: 'found' | 'left'): Verdict | null {
  const text = finding[moment];
  if (text === null) return null;
  const values = measurement.specification.kind === 'difference' ? text.split(betweenTwo) : text;
  try {
    return judge(measurement.specification, values, measurement.resolution);
  } catch (cause) {
    throw unreadable(`${nameOf(measurement, finding)}, as ${moment}`, finding, moment, text, cause);
  }
}

/** A fault in the words of what was read, with the place of the finding; anything else than a fault as it is. */
function unreadable(name: string, finding: Finding, moment: 'found' | 'left', text: string, cause: unknown): unknown {
  if (!(cause instanceof Fault)) return cause;
  return refusal('finding-unreadable', `${name}: ${cause.message}`, {
    place: placeOfFinding(finding, moment),
    found: cause.found ?? JSON.stringify(text.slice(0, 60)),
    ...(cause.remedy === undefined ? {} : { remedy: cause.remedy }),
    cause,
  });
}

function nameOf(measurement: Measurement, { place }: Finding): string {
  return nameIn(measurement, place);
}

function nameIn({ name }: Measurement, place: string | null): string {
  return place === null ? name : `${name}, ${place}`;
}
