import { type CautionRef, resolveCaution } from '../domain/cautions.js';
import type { SheetLine, SheetStep } from '../domain/results/sheet.js';
import type { Step, Task } from '../domain/task.js';
import { sayChange } from './changes-text.js';
import { type Change, minutesOf } from './state.js';

/** A line without its number; the writer gives numbers in the order of writing. */
type Numbered = Extract<SheetLine, { readonly number: number }>;
type WithoutNumber<T> = T extends Numbered ? Omit<T, 'number'> : never;

/** Collects the lines of a sheet: what is ticked gets a number, a caution comes above what it is about, and what was said
 *  for a task on a line of its own is not said for it on another. */
export class LineWriter {
  readonly lines: SheetLine[] = [];
  private lastNumber = 0;
  private readonly said = new Set<string>();

  heading(task: string, title: string, minutes: number, why: string | null = null): void {
    this.lines.push({ kind: 'task', task, title, minutes, why });
  }

  note(task: string, text: string): void {
    this.lines.push({ kind: 'note', task, text });
  }

  cautions(task: string, refs: readonly CautionRef[]): void {
    for (const caution of refs.map(resolveCaution)) {
      const key = `${task} ${caution.id}`;
      if (!this.said.has(key)) this.lines.push({ kind: 'caution', task, caution });
      this.said.add(key);
    }
  }

  numbered(line: WithoutNumber<Numbered>): void {
    this.lines.push({ ...line, number: this.count() });
  }

  step(task: string, step: Step): void {
    this.lines.push(this.asStep(task, step));
  }

  ifOut(task: Task, ifOut: NonNullable<Task['ifOut']>): void {
    const steps = ifOut.steps.map((step) => this.asStep(task.id, step));
    this.lines.push({ kind: 'if-out', task: task.id, minutes: ifOut.minutes, tools: ifOut.tools ?? [], steps });
  }

  /** Changes of state, each a line of its own.
   *  @param task  the task that they are made for; its cautions stand above the change */
  changes(task: string, changes: readonly Change[]): void {
    for (const change of changes) {
      const { text, cautions } = sayChange(change);
      this.cautions(task, cautions);
      this.lines.push({ kind: 'state', text, minutes: minutesOf([change]) });
    }
  }

  private asStep(task: string, step: Step): SheetStep {
    return {
      kind: 'step',
      number: this.count(),
      task,
      text: step.do,
      where: step.where ?? null,
      tool: step.tool ?? null,
      unattendedMinutes: step.unattended ?? null,
      caution: step.caution === undefined ? null : resolveCaution(step.caution),
    };
  }

  private count(): number {
    this.lastNumber += 1;
    return this.lastNumber;
  }
}
