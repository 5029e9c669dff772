import type { Day } from './day.js';
import type { Finding, MachineFacts, ServiceRecord } from './facts.js';
import type { Machine } from './machine.js';
import { isOfPoints, type Task } from './task.js';

/** A job that was looked at, found outside its limits, and left so. */
export interface OpenFinding {
  readonly task: string;
  /** Of the newest record that says so. */
  readonly day: Day;
  readonly enteredAtMs: number;
  /** Its measurements that did not hold, by id: out, too close to call, or without a verdict. */
  readonly out: readonly string[];
}

/** Jobs that a record holds findings of without closing them, because they were found outside their limits and left so.
 *  @returns  each once, in the order of the findings; [] where all that was looked at is done, or was begun and found well
 *  Source: common practice, no source. */
export function tasksLeftOut(record: Pick<ServiceRecord, 'tasks' | 'findings'>): readonly string[] {
  return tasksUnclosed(record).filter((task) => !isBegun(record, task));
}

/** Jobs that were begun and are not done: a record tells of points greased or places found sound, and does not close them.
 *  @returns  each once, in the order of the findings
 *  Source: common practice, no source. */
export function tasksPartlyDone(record: Pick<ServiceRecord, 'tasks' | 'findings'>): readonly string[] {
  return tasksUnclosed(record).filter((task) => isBegun(record, task));
}

/** Whether a finding can stand for itself where its job is not done: points that were seen to, or what was found well and not
 *  touched. What was found otherwise asks for a decision about the job.
 *  Source: common practice, no source. */
export function tellsOfBeginning({ measurement, left, verdict }: Finding): boolean {
  return left === null && (isOfPoints(measurement) || verdict === 'in');
}

function tasksUnclosed({ tasks, findings }: Pick<ServiceRecord, 'tasks' | 'findings'>): readonly string[] {
  return [...new Set(findings.map(({ task }) => task))].filter((task) => !tasks.includes(task));
}

function isBegun({ findings }: Pick<ServiceRecord, 'findings'>, task: string): boolean {
  return findings.filter((finding) => finding.task === task).every(tellsOfBeginning);
}

/** What still waits to be mended on a machine: of each job the newest record that speaks of it decides. Doing it, or another job
 *  that counts as it, settles it; leaving it out this time does not mend it.
 *  @param machine  jobs no longer in its plan are passed over
 *  @param facts    voided records left out already
 *  @returns        at most one a job, in the order of the plan
 *  Source: common practice, no source. */
export function openFindings(
  machine: Pick<Machine, 'tasks'>,
  facts: Pick<MachineFacts, 'records'>,
): readonly OpenFinding[] {
  const newest = new Map<string, OpenFinding | null>();
  const inTime = [...facts.records].sort((a, b) =>
    a.day === b.day ? a.enteredAtMs - b.enteredAtMs : a.day < b.day ? -1 : 1,
  );
  for (const record of inTime) {
    for (const id of record.tasks) {
      newest.set(id, null);
      for (const other of machine.tasks.find((task) => task.id === id)?.countsAs ?? []) newest.set(other, null);
    }
    const { day, enteredAtMs } = record;
    for (const task of tasksLeftOut(record)) newest.set(task, { task, day, enteredAtMs, out: notWithin(record, task) });
  }
  return machine.tasks.flatMap(({ id }) => newest.get(id) ?? []);
}

/** Whether a machine is not to be used while this finding stands: a test failed whose specification says so (`stopUse`). A
 *  caution alone does not forbid use: it speaks of the work, not of the machine.
 *  @param out  measurements that did not hold; none named: every one of the task is taken for failed
 *  Source: common practice, no source. */
export function isUnsafeWhenOut({ measure }: Pick<Task, 'measure'>, { out }: Pick<OpenFinding, 'out'>): boolean {
  return measure.some(
    ({ id, specification }) =>
      specification.kind === 'test' && specification.stopUse === true && (out.length === 0 || out.includes(id)),
  );
}

function notWithin({ findings }: Pick<ServiceRecord, 'findings'>, task: string): readonly string[] {
  const out = findings.filter((finding) => finding.task === task && finding.verdict !== 'in');
  return [...new Set(out.map(({ measurement }) => measurement))];
}
