import type { ServiceRecord } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import { isCurrency, plainAmount } from '../domain/money.js';
import { decimalPoint, moneyHabitOf, parseMoney } from '../domain/money-text.js';
import { longestPaidFor, type PaidSaid } from '../ledger/say-paid.js';
import { saySpending } from '../words/money.js';
import { pageFault } from './errors.js';
import { fieldId, type Typed } from './field-names.js';
import { type Form, newFormKey } from './guard/form.js';
import { KeyField } from './pieces.js';

interface PaidFieldsProps {
  /** Of the household; null: nothing is asked. */
  readonly currency: string | null;
  readonly typed: Typed;
  /** Where a page has several such forms, only the one in trouble has fields that a link leads to. */
  readonly isLinked?: boolean;
}

/** What was paid for a visit. The currency that the form shows comes back with it: a form that waited means what it said. */
export function PaidFields({ currency, typed, isLinked = true }: PaidFieldsProps) {
  if (currency === null) return null;
  const idOf = (name: string) => (isLinked ? { id: fieldId(name) } : {});
  return (
    <>
      <input type="hidden" name="paidIn" value={currency} />
      <label>
        <span>Paid, {currency} (if you like)</span>
        <input
          {...idOf('paid')}
          name="paid"
          inputmode="decimal"
          autocomplete="off"
          maxlength={30}
          value={typed('paid')}
        />
      </label>
      <label>
        <span>What it was paid for</span>
        <input
          {...idOf('paidFor')}
          name="paidFor"
          autocomplete="off"
          maxlength={longestPaidFor}
          value={typed('paidFor')}
        />
      </label>
    </>
  );
}

/** The amount that a form tells; null where it tells none.
 *  @throws Fault of domain/money-text, or paid-missing */
export function readPaid(form: Form, household: Household): PaidSaid | null {
  const [amount, what] = [form.optional('paid'), form.optional('paidFor')];
  if (amount === null) {
    if (what === null) return null;
    throw pageFault({
      code: 'paid-missing',
      message: 'It says what was paid for, but no amount',
      found: JSON.stringify(what.slice(0, 40)),
      remedy: 'Write the amount, or empty both fields.',
    });
  }
  const habit = moneyHabitOf(household);
  const shown = form.text('paidIn');
  return { money: parseMoney(amount, isCurrency(shown) ? { ...habit, currency: shown } : habit), what };
}

interface PaidFormProps {
  readonly record: ServiceRecord;
  readonly household: Household;
  /** The form as it came back with something wrong; null: as it stands in the books. */
  readonly form: Form | null;
}

/** Says afterwards what was paid for a record, or corrects it; nothing where no currency is set. */
export function PaidForm({ record, household, form }: PaidFormProps) {
  const { paid } = record;
  const { currency } = household;
  if (currency === undefined) return null;
  const amount = paid === undefined ? '' : plainAmount(paid.money, decimalPoint(household.locale));
  const code = paid === undefined || paid.money.currency === currency ? '' : ` ${paid.money.currency}`;
  const stands: Readonly<Record<string, string>> = { paid: `${amount}${code}`, paidFor: paid?.what ?? '' };
  return (
    <details class="undo" open={form !== null}>
      <summary>{paid === undefined ? 'What was paid?' : 'Correct what was paid'}</summary>
      <form method="post" action={`/records/${record.id}/paid`} data-waits="What was paid">
        <KeyField value={form?.key ?? newFormKey()} />
        <PaidFields
          currency={currency}
          typed={(name) => form?.text(name) ?? stands[name] ?? ''}
          isLinked={form !== null}
        />
        <p class="small">
          {paid === undefined
            ? 'One amount for all of it. Another currency: write its code behind the amount.'
            : 'What stood before is kept in the books, struck out. Empty both fields to take it back.'}
        </p>
        <button class="act" type="submit">
          Write it down
        </button>
      </form>
    </details>
  );
}

/** What was paid by year; nothing where nothing is on record. */
export function SpendingLine({ records, household }: { records: readonly ServiceRecord[]; household: Household }) {
  const said = saySpending(records, household.locale);
  if (said === '') return null;
  return <p>Paid, as far as it was written down: {said}.</p>;
}
