import type { Noticed } from '../domain/facts.js';
import { answerNoticed } from '../ledger/enter-noticed.js';
import type { Given } from './given.js';
import type { Form } from './guard/form.js';
import { knownPerson } from './known-person.js';
import type { Shown } from './shown.js';

/** What was noticed and is seen to now, as ticked on the sheet.
 *  @param record  of the visit that saw to it
 *  @returns whether anything was */
export function settleSeenTo(given: Given, form: Form, shown: Shown, record: string): boolean {
  const { facts, machine } = shown;
  const by = knownPerson(form.optional('by'), shown);
  const seenTo = facts.noticed.filter((one) => one.state === 'open' && form.all('seen-to').includes(one.id));
  for (const { id } of seenTo) {
    const outcome = answerNoticed(given.books, id, by, record);
    if (outcome.kind === 'refused') given.log.warn({ machine: machine.id, code: outcome.fault.code }, 'not seen to');
  }
  return seenTo.length > 0;
}

/** Ticks for what was noticed between visits: seen to, it leaves the sheet. */
export function SeenToTicks({
  noticed,
  ticked,
}: {
  readonly noticed: readonly Noticed[];
  readonly ticked: readonly string[];
}) {
  if (noticed.length === 0) return null;
  return (
    <fieldset class="ticks">
      <legend>What was noticed. Tick what is seen to; the rest comes on the next sheet again.</legend>
      {noticed.map(({ id, text }) => (
        <label class="step">
          <input type="checkbox" name="seen-to" value={id} checked={ticked.includes(id)} />
          <span>{text}</span>
        </label>
      ))}
    </fieldset>
  );
}
