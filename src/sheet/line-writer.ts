import { type Caution, type CautionRef, resolveCaution } from '../domain/cautions.js';
import type { Household } from '../domain/household.js';
import type { SheetLine, SheetStep } from '../domain/results/sheet.js';
import type { Step, Task } from '../domain/task.js';
import { sayChange } from './changes-text.js';
import type { MachineTraits } from './machine-traits.js';
import { type Change, minutesOf } from './state.js';

/** A line without its number; the writer gives numbers in the order of writing. */
type Numbered = Extract<SheetLine, { readonly number: number }>;
type WithoutNumber<T> = T extends Numbered ? Omit<T, 'number'> : never;

const starts: ReadonlySet<Change['kind']> = new Set(['warm-up', 'run-warm', 'start', 'brief']);

const engineKinds: ReadonlySet<Change['kind']> = new Set([...starts, 'stop', 'cool-down']);

/** Collects the lines of a sheet: what is ticked gets a number; a caution stands in full above the first thing that it is
 *  about, and a few words at each later task refer to it, so that what is new is not lost among what was read. */
export class LineWriter {
  readonly lines: SheetLine[] = [];
  readonly units: Household['units'];
  private readonly traits: MachineTraits;
  private readonly takesWheelsOff: boolean;
  private lastNumber = 0;
  /** Number of the step below the caution in full, by its id. */
  private readonly inFull = new Map<string, number>();
  private readonly said = new Set<string>();
  private readonly changed: Change[] = [];
  /** Titles of what had its fuel opened since the engine last started. */
  private readonly fuelOpened = new Set<string>();

  /** @param takesWheelsOff  whether a wheel comes off in this visit
   *  @param units           what the household's own tools show */
  constructor(traits: MachineTraits, takesWheelsOff = false, units: Household['units'] = 'metric') {
    this.units = units;
    this.traits = traits;
    this.takesWheelsOff = takesWheelsOff;
  }

  heading(
    task: string,
    title: string,
    minutes: number,
    why: string | null = null,
    minutesIfOut: number | null = null,
  ): void {
    this.lines.push({ kind: 'task', task, title, minutes, minutesIfOut, why });
  }

  /** A line across the sheet. */
  across(text: string): void {
    this.lines.push({ kind: 'state', text });
  }

  note(task: string, text: string): void {
    this.lines.push({ kind: 'note', task, text });
  }

  cautions(task: string, refs: readonly CautionRef[]): void {
    for (const ref of refs) {
      const caution = this.asNew(task, ref);
      if (caution !== null) this.lines.push({ kind: 'caution', task, caution });
    }
  }

  numbered(line: WithoutNumber<Numbered>): void {
    this.lines.push({ ...line, number: this.count() });
  }

  step(task: string, step: Step): void {
    this.lines.push(this.asStep(task, step));
  }

  ifOut(task: Task, ifOut: NonNullable<Task['ifOut']>): void {
    // Folded away on the page: what stands in full only there has not been read further down.
    const before = new Map(this.inFull);
    // Numbered below the line above them, since most visits never come to them.
    const above = this.lastNumber;
    const share = ifOut.steps.length < 10 ? 10 : 100;
    const steps = ifOut.steps.map((step, at) => ({
      ...this.asStep(task.id, step),
      number: (above * share + at + 1) / share,
    }));
    this.lastNumber = above;
    for (const id of this.inFull.keys()) if (!before.has(id)) this.inFull.delete(id);
    this.lines.push({ kind: 'if-out', task: task.id, minutes: ifOut.minutes, tools: ifOut.tools ?? [], steps });
  }

  /** Changes of state, each a line of its own.
   *  @param task  the task that they are made for; its cautions stand above the change */
  changes(task: string, changes: readonly Change[]): void {
    if (changes.some(({ kind }) => starts.has(kind))) this.lookForDrips(task);
    for (const change of changes) {
      const { text, cautions } = this.sayChange(change);
      this.cautions(task, cautions);
      this.across(text);
      this.changed.push(change);
    }
  }

  /** Minutes of the changes so far in which hands open, lift and take off. */
  get handMinutes(): number {
    return minutesOf(this.changed.filter(({ kind }) => !engineKinds.has(kind)));
  }

  /** Minutes in which the engine gets warm or cold. */
  get waitingMinutes(): number {
    return minutesOf(
      this.changed.flatMap(({ kind }): Change[] => {
        if (kind === 'run-warm') return [{ kind: 'warm-up' }];
        return kind === 'warm-up' || kind === 'cool-down' ? [{ kind }] : [];
      }),
    );
  }

  /** The fuel of this task is opened: nothing starts before its joints were looked at. */
  opensFuel(title: string): void {
    this.fuelOpened.add(title.trim());
  }

  private lookForDrips(task: string): void {
    if (this.fuelOpened.size === 0) return;
    const where = [...this.fuelOpened].join('; ');
    this.fuelOpened.clear();
    this.step(task, {
      do: `Before this start, for nothing is started while a joint drips: fuel on, wait a minute, look for drips where fuel was opened: ${where}.`,
      tool: 'lamp, dry rag',
      unattended: 1,
    });
  }

  sayChange(change: Change): ReturnType<typeof sayChange> {
    return sayChange(change, this.traits, this.takesWheelsOff);
  }

  private asStep(task: string, step: Step): SheetStep {
    const caution = step.caution === undefined ? null : this.asNew(task, step.caution);
    return {
      kind: 'step',
      number: this.count(),
      task,
      text: step.do,
      where: step.where ?? null,
      tool: step.tool ?? null,
      unattendedMinutes: step.unattended ?? null,
      caution,
    };
  }

  /** The caution where it is new on the sheet; null where it was said, which a note then refers to, once a task. */
  private asNew(task: string, ref: CautionRef): Caution | null {
    const caution = resolveCaution(ref);
    const key = `${task} ${caution.id}`;
    const isSaid = this.said.has(key);
    this.said.add(key);
    const above = this.inFull.get(caution.id);
    if (above === undefined) {
      this.inFull.set(caution.id, this.lastNumber + 1);
      return caution;
    }
    if (!isSaid) this.note(task, `${caution.signal}: ${caution.short}, as above step ${above}.`);
    return null;
  }

  private count(): number {
    this.lastNumber += 1;
    return this.lastNumber;
  }
}
