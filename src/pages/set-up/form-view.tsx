import type { Fault } from '../../domain/fault.js';
import type { Proposal } from '../../domain/home-change.js';
import type { Form } from '../guard/form.js';
import { KeyField } from '../pieces.js';
import type { Field } from './fields.js';

interface FieldsProps {
  readonly fields: readonly Field[];
  /** What each field shows, by its name. */
  readonly shown: (field: Field) => readonly string[];
}

/** The fields of a form, each with its label and what counts without it. */
export function Fields({ fields, shown }: FieldsProps) {
  return (
    <>
      {fields.map((field) => (
        <OneField field={field} shown={shown(field)} />
      ))}
    </>
  );
}

function OneField({ field, shown }: { readonly field: Field; readonly shown: readonly string[] }) {
  const { name, label, help, kind, options = [], isRequired = false } = field;
  const hint = help === undefined ? null : <span class="small">{help}</span>;
  if (kind === 'several') {
    return (
      <fieldset class="ticks">
        <legend>{label}</legend>
        {hint}
        {options.map(({ value, text }) => (
          <label class="step">
            <input type="checkbox" name={name} value={value} checked={shown.includes(value)} />
            <span>{text}</span>
          </label>
        ))}
      </fieldset>
    );
  }
  const [value = ''] = shown;
  return (
    <div class="field">
      <label for={name}>{label}</label>
      {hint}
      {kind === 'choice' ? (
        <select id={name} name={name}>
          {options.map((option) => (
            <option value={option.value} selected={option.value === value}>
              {option.text}
            </option>
          ))}
        </select>
      ) : (
        <input
          id={name}
          name={name}
          type={kind === 'number' ? 'text' : kind === 'day' ? 'date' : kind}
          inputmode={kind === 'number' ? 'decimal' : undefined}
          value={value}
          required={isRequired}
          maxlength={300}
        />
      )}
    </div>
  );
}

interface ProposedProps {
  readonly proposal: Proposal;
  readonly form: Form;
  readonly action: string;
}

/** What would be written, with one button that writes it; or what would be wrong with it. */
export function Proposed({ proposal, form, action }: ProposedProps) {
  if (proposal.kind === 'refused') return <Wrong faults={[proposal.fault]} />;
  if (proposal.faults.length > 0) return <Wrong faults={proposal.faults} />;
  const lines = linesOf(proposal.before, proposal.after);
  if (lines.length === 0)
    return <p class="said">Nothing differs from what the file says, so nothing will be written.</p>;
  return (
    <div class="said" role="status">
      <p>
        This will stand in <code>{proposal.file}</code>
        {proposal.before === '' ? ', a new file' : ''}:
      </p>
      <pre class="yaml">
        {lines.map(({ sign, text }) => (
          <span class={sign === '-' ? 'gone' : 'new'}>{`${sign} ${text}\n`}</span>
        ))}
      </pre>
      <form method="post" action={action}>
        <KeyField value={form.key} />
        <input type="hidden" name="step" value="write" />
        {form.entries().map(([name, value]) => (
          <input type="hidden" name={name} value={value} />
        ))}
        <button class="act main" type="submit">
          Write it
        </button>
      </form>
    </div>
  );
}

function Wrong({ faults }: { readonly faults: readonly Fault[] }) {
  return (
    <div class="said" role="alert">
      <p>
        <strong>Not written.</strong>
      </p>
      <ul>
        {faults.slice(0, 8).map(({ message, found, remedy }) => (
          <li>
            {message}
            {found === undefined ? '' : ` (found ${found})`}. {remedy ?? ''}
          </li>
        ))}
      </ul>
    </div>
  );
}

/** Lines that one text has and the other has not, in their order: what went and what came. */
function linesOf(before: string, after: string): readonly { readonly sign: '-' | '+'; readonly text: string }[] {
  const [old, now] = [before.split('\n'), after.split('\n')];
  let head = 0;
  while (head < old.length && head < now.length && old[head] === now[head]) head += 1;
  let tail = 0;
  while (tail < old.length - head && tail < now.length - head && old.at(-1 - tail) === now.at(-1 - tail)) tail += 1;
  const [gone, came] = [old.slice(head, old.length - tail), now.slice(head, now.length - tail)];
  const kept = new Set(gone.filter((line) => came.includes(line)));
  return [
    ...gone.filter((line) => !kept.has(line)).map((text) => ({ sign: '-' as const, text })),
    ...came.filter((line) => !kept.has(line) && line !== '').map((text) => ({ sign: '+' as const, text })),
  ];
}
