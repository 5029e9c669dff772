import type { Fault } from '../../domain/fault.js';
import type { Proposal } from '../../domain/home-change.js';
import { fieldId } from '../field-names.js';
import type { Form } from '../guard/form.js';
import { KeyField } from '../pieces.js';
import type { Field, Option } from './fields.js';
import { lineChanges } from './line-changes.js';

/** Something that was not taken, and the field that it is about; null where the form asks for nothing of the kind. */
export interface Wrong {
  readonly fault: Fault;
  readonly field: Field | null;
}

interface FieldsProps {
  readonly fields: readonly Field[];
  /** What each field shows, by its name. */
  readonly shown: (field: Field) => readonly string[];
  readonly wrong: readonly Wrong[];
}

/** The fields of a form, each with its label and what counts without it, under the headings that they name. */
export function Fields({ fields, shown, wrong }: FieldsProps) {
  const one = (field: Field) => (
    <OneField
      field={field}
      shown={shown(field)}
      wrong={wrong.filter((said) => said.field === field).map(({ fault }) => fault)}
    />
  );
  return (
    <>
      {runsOf(fields, ({ section }) => section).map(({ by: section, run }) => {
        const items = runsOf(run, ({ item }) => item).map(({ by: item, run: inner }) =>
          item === undefined ? (
            inner.map(one)
          ) : (
            <fieldset class="item">
              <legend>{item}</legend>
              {inner.map(one)}
            </fieldset>
          ),
        );
        return section === undefined ? (
          items
        ) : (
          <section>
            <h2>{section}</h2>
            {items}
          </section>
        );
      })}
    </>
  );
}

/** Neighbours that have the same key. */
function runsOf<K>(fields: readonly Field[], keyOf: (field: Field) => K): readonly { by: K; run: Field[] }[] {
  const runs: { by: K; run: Field[] }[] = [];
  for (const field of fields) {
    const last = runs.at(-1);
    if (last !== undefined && last.by === keyOf(field)) last.run.push(field);
    else runs.push({ by: keyOf(field), run: [field] });
  }
  return runs;
}

interface OneFieldProps {
  readonly field: Field;
  readonly shown: readonly string[];
  readonly wrong: readonly Fault[];
}

const yesNo: readonly Option[] = [
  { value: '', text: 'not said' },
  { value: 'true', text: 'yes' },
  { value: 'false', text: 'no' },
];

function OneField({ field, shown, wrong }: OneFieldProps) {
  const { name, label, help, kind, isRequired = false } = field;
  const options = kind === 'yes-no' ? yesNo : (field.options ?? []);
  const id = fieldId(name);
  const hint =
    help === undefined ? null : (
      <span class="small" id={`${id}-help`}>
        {help}
      </span>
    );
  const refusal =
    wrong.length === 0 ? null : (
      <span class="refusal" id={`${id}-wrong`}>
        {wrong.map(sayWrong).join(' ')}
      </span>
    );
  const described = [...(hint === null ? [] : [`${id}-help`]), ...(refusal === null ? [] : [`${id}-wrong`])].join(' ');
  const about = {
    ...(described === '' ? {} : { 'aria-describedby': described }),
    ...(refusal === null ? {} : { 'aria-invalid': 'true' as const }),
  };
  if (kind === 'several') {
    return (
      <fieldset
        class={refusal === null ? 'ticks' : 'ticks refused'}
        id={id}
        tabindex={-1}
        aria-describedby={described === '' ? undefined : described}
      >
        <legend>{label}</legend>
        {hint}
        {refusal}
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
  if (kind === 'out') {
    return (
      <>
        <label class="step" for={id}>
          <input type="checkbox" id={id} name={name} value="yes" checked={value === 'yes'} {...about} />
          <span>{label}</span>
        </label>
        {refusal}
      </>
    );
  }
  return (
    <div class={field.isShort === true ? 'field short' : 'field'}>
      <label for={id}>{label}</label>
      {hint}
      {refusal}
      {kind === 'lines' ? (
        <textarea id={id} name={name} rows={rowsFor(shown)} {...about}>
          {shown.join('\n')}
        </textarea>
      ) : kind === 'choice' || kind === 'yes-no' ? (
        <select id={id} name={name} {...about}>
          {options.map((option) => (
            <option value={option.value} selected={option.value === value}>
              {option.text}
            </option>
          ))}
        </select>
      ) : (
        <input
          id={id}
          name={name}
          type={kind === 'number' ? 'text' : kind === 'day' ? 'date' : kind}
          inputmode={kind === 'number' ? 'decimal' : undefined}
          autocomplete={kind === 'password' ? 'off' : undefined}
          value={value}
          required={isRequired}
          maxlength={600}
          {...about}
        />
      )}
    </div>
  );
}

interface ProposedProps {
  readonly proposal: Proposal;
  readonly wrong: readonly Wrong[];
  readonly form: Form;
  /** Fields that are never sent back. */
  readonly secrets: readonly string[];
  readonly action: string;
}

/** Rows of a list's field: as many as its lines take on a phone, within reason. */
function rowsFor(lines: readonly string[]): number {
  const lettersOnPhone = 36;
  const wanted = lines.reduce((rows, line) => rows + Math.ceil(line.length / lettersOnPhone), 1);
  return Math.min(Math.max(wanted, 2), 16);
}

const signNames = { '-': 'gone', '+': 'new', ' ': 'around' } as const;

/** What would be written, with one button that writes it; or what would be wrong with it. */
export function Proposed({ proposal, wrong, form, secrets, action }: ProposedProps) {
  if (proposal.kind === 'refused' || proposal.faults.length > 0) return <NotWritten wrong={wrong} />;
  const lines = lineChanges(proposal.before, proposal.after);
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
          <span class={signNames[sign]}>{`${sign} ${text}\n`}</span>
        ))}
      </pre>
      <form method="post" action={action}>
        <KeyField value={form.key} />
        <input type="hidden" name="step" value="write" />
        {form
          .entries()
          .filter(([name]) => !secrets.includes(name))
          .map(([name, value]) => (
            <input type="hidden" name={name} value={value} />
          ))}
        <button class="act main" type="submit">
          Write it
        </button>
      </form>
    </div>
  );
}

function NotWritten({ wrong }: { readonly wrong: readonly Wrong[] }) {
  return (
    <div class="said" role="alert">
      <p>
        <strong>Not written.</strong>
      </p>
      <ul>
        {wrong.slice(0, 8).map(({ fault, field }) => (
          <li>
            {field === null ? null : (
              <>
                <a href={`#${fieldId(field.name)}`}>{nameOf(field)}</a>:{' '}
              </>
            )}
            {sayWrong(fault)}
          </li>
        ))}
      </ul>
    </div>
  );
}

/** The label, with what it is about where several fields are called the same. */
function nameOf({ label, item }: Field): string {
  return item === undefined ? label : `${item}, ${label.charAt(0).toLowerCase()}${label.slice(1)}`;
}

function sayWrong({ message, found, remedy }: Fault): string {
  return `${message}${found === undefined ? '' : ` (found ${found})`}. ${remedy ?? ''}`.trim();
}
