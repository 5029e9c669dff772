import type { Day } from '../domain/day.js';
import type { Person } from '../domain/household.js';
import type { Spread } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { sayHoursNow } from '../words/hours.js';
import type { Typed } from './field-names.js';
import { longestNote } from './guard/form.js';

interface ConfirmProps {
  readonly tasks: readonly { readonly id: string; readonly title: string }[];
  /** Ticked tasks; null: all of them. */
  readonly ticked: readonly string[] | null;
  readonly today: Day;
  readonly hoursNow: Spread<number> | null;
  readonly hasMeter: boolean;
  /** The hours typed were hard to believe: one more tick lets them count. */
  readonly asksWhetherSure: boolean;
  /** Who may say so; empty where the link already says who. */
  readonly people: readonly Person[];
  readonly typed: Typed;
}

/** What is ticked before anybody touched it: all of a service visit; nothing while a machine is being got to know, which may
 *  take several days. */
export function ticksToBeginWith({ kind }: Pick<Visit, 'kind'>): readonly [] | null {
  return kind === 'getting-to-know' ? [] : null;
}

/** What a confirmation asks: which tasks, when, at how many hours, by whom. The same on sheet and link. */
export function ConfirmFields({
  tasks,
  ticked,
  today,
  hoursNow,
  hasMeter,
  asksWhetherSure,
  people,
  typed,
}: ConfirmProps) {
  return (
    <>
      <fieldset class="ticks">
        <legend>
          {ticked === null
            ? 'What was done. Untick what was not; it stays due.'
            : 'What was done. Tick it; what is not ticked stays open.'}
        </legend>
        {tasks.map((task) => (
          <label class="step">
            <input type="checkbox" name="task" value={task.id} checked={ticked === null || ticked.includes(task.id)} />
            <span>{task.title}</span>
          </label>
        ))}
      </fieldset>
      {hasMeter ? (
        <label>
          <span>Hours on the meter</span>
          <input
            class="numeral"
            name="hours"
            inputmode="decimal"
            autocomplete="off"
            maxlength={12}
            value={typed('hours')}
          />
          <span class="small">
            {hoursNow === null
              ? 'Leave it empty if you did not look.'
              : `It should show ${sayHoursNow(hoursNow)}. Leave it empty if you did not look.`}
          </span>
        </label>
      ) : null}
      {asksWhetherSure ? (
        <label class="step">
          <input type="checkbox" name="sure" value="yes" />
          <span>I looked again: these hours are right.</span>
        </label>
      ) : null}
      <label>
        <span>Day</span>
        <input type="date" name="day" required max={today} value={typed('day') || today} />
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
        <input name="minutes" inputmode="numeric" autocomplete="off" maxlength={5} value={typed('minutes')} />
      </label>
      <label>
        <span>Anything else</span>
        <textarea name="note" rows={3} maxlength={longestNote}>
          {typed('note')}
        </textarea>
      </label>
    </>
  );
}
