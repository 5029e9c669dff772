import type { Finding, ServiceRecord } from './facts.js';
import { fluidFinding } from './fluid-used.js';
import type { Machine } from './machine.js';
import type { Part, Task } from './task.js';

/** A part or fluid that work uses up, by the plan. */
export interface UsedUp {
  readonly name: string;
  /** Pieces (`2`), or quantity texts as the plan has them (`3.1 L`, `0.5 L + 1 L` where two tasks take some). */
  readonly amount: string;
  /** The owner's own part number; null where none is noted, and of a fluid. */
  readonly number: string | null;
  /** The specification that a fluid has to meet; null where the plan demands none. */
  readonly must: string | null;
  /** The kind of fluid that went in, where a person told of another than the sheet names. */
  readonly kind?: string;
}

/** The parts that a job used up: none where its outcome says that the old one was looked at, cleaned or sharpened and went back in. An
 *  outcome that nobody told leaves them used, as the plan has them.
 *  @param findings  of the record
 *  Source: common practice, no source. */
export function partsUsed(
  task: Pick<Task, 'id' | 'parts' | 'outcomes'>,
  findings: readonly Pick<Finding, 'task' | 'measurement' | 'found'>[],
): readonly Part[] {
  if (task.outcomes?.includes('replaced') !== true) return task.parts;
  const told = findings.find((one) => one.task === task.id && one.measurement === 'outcome')?.found ?? null;
  return told === null || told === 'replaced' ? task.parts : [];
}

/** What the work on record used up: by the plan as it stands today, and of fluids the kind and amount that a person told of instead.
 *  @param record   its tasks that the machine no longer has are passed over
 *  @param machine  with its tasks
 *  @returns        parts and then fluids, one of a name, in the order of the plan; parts of the same name are added up
 *  Source: common practice, no source. */
export function usedUpBy(
  record: Pick<ServiceRecord, 'tasks'> & Partial<Pick<ServiceRecord, 'findings'>>,
  machine: Pick<Machine, 'tasks'>,
): readonly UsedUp[] {
  const done = machine.tasks.filter(({ id }) => record.tasks.includes(id));
  const parts = new Map<string, { readonly count: number; readonly number: string | null }>();
  const fluids = new Map<
    string,
    { readonly amounts: readonly string[]; readonly must: string | null; readonly kind: string | null }
  >();
  for (const task of done) {
    for (const part of partsUsed(task, record.findings ?? [])) {
      const before = parts.get(part.name);
      const number = part.number === undefined || part.number === '' ? null : part.number;
      parts.set(part.name, { count: (before?.count ?? 0) + part.quantity, number: before?.number ?? number });
    }
    for (const fluid of task.fluids) {
      const before = fluids.get(fluid.name);
      const told = record.findings?.find((one) => one.task === task.id && one.measurement === fluidFinding(fluid));
      const amounts = [...(before?.amounts ?? []), told?.left ?? fluid.quantity];
      const kind = before?.kind ?? told?.found ?? null;
      fluids.set(fluid.name, { amounts, must: before?.must ?? fluid.must ?? null, kind });
    }
  }
  return [
    ...[...parts].map(([name, { count, number }]) => ({ name, amount: String(count), number, must: null })),
    ...[...fluids].map(([name, { amounts, must, kind }]) => ({
      name,
      amount: amounts.join(' + '),
      number: null,
      must,
      ...(kind === null ? {} : { kind }),
    })),
  ];
}
