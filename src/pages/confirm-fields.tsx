import type { Day } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import type { Person } from '../domain/household.js';
import { openFindings } from '../domain/open-findings.js';
import type { Spread } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { adjustedIn } from '../domain/task.js';
import { broughtInVisit } from '../domain/visit-minutes.js';
import { sayHoursNow } from '../words/hours.js';
import { sayFoundOut } from '../words/open-finding.js';
import { capital } from '../words/sentence.js';
import { sayTask } from '../words/task.js';
import { fieldId, type Typed } from './field-names.js';
import { longestNote } from './guard/form.js';
import { PaidFields } from './paid-fields.js';
import type { Shown } from './shown.js';

/** A job to tick. `doubt`: why nothing is ticked beforehand, told beside it; null where nothing speaks against it. */
interface JobToTick {
  readonly id: string;
  readonly title: string;
  readonly doubt: string | null;
}

/** The jobs of a confirmation in words, each with what a person should know before they tick it: that it came to the visit
 *  after its link was sent, or that it was found outside its limits and left so. What the jobs bring (the torque of wheels that
 *  were off) stands behind them, since it is recorded with them.
 *  @param added  those that are new since the link was sent
 *  @param where  a sheet has the fields of every value, a link has none */
export function jobsToTick(
  tasks: readonly string[],
  added: readonly string[],
  { machine, facts, outlook, household }: Shown,
  where: 'sheet' | 'link',
): readonly JobToTick[] {
  const findings = openFindings(machine, facts);
  const brought = broughtInVisit(tasks, machine.tasks);
  return [...tasks, ...brought].map((id) => {
    const finding = findings.find(({ task }) => task === id);
    const own = machine.tasks.find((task) => task.id === id && task.by === 'owner');
    const isAdjusted = where === 'link' && own !== undefined && adjustedIn(own).length > 0;
    const doubt = isAdjusted
      ? 'Confirm this one on the sheet: it wants its value as left.'
      : finding !== undefined
        ? `${capital(sayFoundOut(finding, outlook.today, household.locale))}. Tick it once it is within them.`
        : added.includes(id)
          ? 'New since an earlier letter. Tick it if it was done too.'
          : null;
    return { id, title: sayTask(id, machine), doubt };
  });
}

interface ConfirmProps {
  readonly tasks: readonly JobToTick[];
  /** Ticked tasks; null: all of them. */
  readonly ticked: readonly string[] | null;
  readonly today: Day;
  readonly hoursNow: Spread<number> | null;
  readonly hasMeter: boolean;
  /** What was wrong with the form: where the hours typed are hard to believe, or season work is far ahead of its season, one
   *  more tick lets it count. */
  readonly fault: Fault | null;
  /** Who may say so; empty where the link already says who. */
  readonly people: readonly Person[];
  /** In which what was paid is asked for; null: it is not. */
  readonly currency: string | null;
  readonly typed: Typed;
}

/** What is ticked before anybody touched it: all of a service visit but what is in doubt; nothing while a machine is being got
 *  to know, which may take several days. Null: all. */
export function ticksToBeginWith({ kind }: Pick<Visit, 'kind'>, jobs: readonly JobToTick[]): readonly string[] | null {
  if (kind === 'getting-to-know') return [];
  const sure = jobs.filter(({ doubt }) => doubt === null).map(({ id }) => id);
  return sure.length === jobs.length ? null : sure;
}

/** What a confirmation asks: which tasks, when, at how many hours, by whom. The same on sheet and link. */
export function ConfirmFields(props: ConfirmProps) {
  const { tasks, ticked, today, hoursNow, hasMeter, fault, people, currency, typed } = props;
  return (
    <>
      <fieldset class="ticks" id={fieldId('task')}>
        <legend>
          {ticked === null
            ? 'What was done. Untick what was not; it stays due.'
            : 'What was done. Tick it; what is not ticked stays open.'}
        </legend>
        {tasks.map((task) => (
          <label class="step">
            <input type="checkbox" name="task" value={task.id} checked={ticked === null || ticked.includes(task.id)} />
            <span>
              {task.title}
              {task.doubt === null ? null : <span class="small"> {task.doubt}</span>}
            </span>
          </label>
        ))}
      </fieldset>
      {hasMeter ? (
        <label>
          <span>Hours on the meter</span>
          <input
            class="numeral"
            id={fieldId('hours')}
            name="hours"
            inputmode="decimal"
            autocomplete="off"
            maxlength={12}
            value={typed('hours')}
          />
          <span class="small">
            {hoursNow === null
              ? 'Leave it empty if you did not look: the record then says no hours.'
              : `It should show ${sayHoursNow(hoursNow)}. Leave it empty if you did not look: the record then says that nobody read it, and the next reading is still asked for.`}
          </span>
        </label>
      ) : null}
      {fault?.code === 'out-of-season' || typed('season') === 'yes' ? (
        <label class="step" id={fieldId('season')}>
          <input type="checkbox" name="season" value="yes" checked={typed('season') === 'yes'} />
          <span>It was done, although its season is far off.</span>
        </label>
      ) : null}
      {fault?.code === 'reading-questionable' ? (
        <label class="step">
          <input type="checkbox" name="sure" value="yes" />
          <span>I looked again: these hours are right.</span>
        </label>
      ) : null}
      <label>
        <span>Day</span>
        <input type="date" id={fieldId('day')} name="day" required max={today} value={typed('day') || today} />
      </label>
      {people.length === 0 ? null : (
        <label>
          <span>By</span>
          <select name="by">
            <option value="">somebody else</option>
            {people.map((person, index) => (
              <option value={person.id} selected={typed('by') === person.id || (typed('by') === '' && index === 0)}>
                {person.name}
              </option>
            ))}
          </select>
        </label>
      )}
      <label>
        <span>Minutes it took (if you like)</span>
        <input
          id={fieldId('minutes')}
          name="minutes"
          inputmode="numeric"
          autocomplete="off"
          maxlength={5}
          value={typed('minutes')}
        />
      </label>
      <PaidFields currency={currency} typed={typed} />
      <label>
        <span>Anything else</span>
        <textarea id={fieldId('note')} name="note" rows={3} maxlength={longestNote}>
          {typed('note')}
        </textarea>
      </label>
    </>
  );
}
