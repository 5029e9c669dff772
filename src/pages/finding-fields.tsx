import type { SheetMeasurement } from '../domain/results/sheet.js';
import {
  levelEntries,
  lookEntries,
  lookEntriesOf,
  type Specification,
  setToEntries,
  testEntries,
} from '../domain/specification.js';
import { capital } from '../words/sentence.js';
import { unbroken } from '../words/unbroken.js';
import { fieldId, findingName, type Typed } from './field-names.js';
import type { Verdicts } from './verdicts.js';

interface FieldsProps {
  readonly line: SheetMeasurement;
  readonly typed: Typed;
  /** Name of the field whose value was not taken; null: none. */
  readonly refused: string | null;
  readonly verdicts: Verdicts;
}

/** What may be chosen instead of typed, by the kind of measurement; empty where a value is typed. */
function choicesOf(specification: Specification): readonly string[] {
  switch (specification.kind) {
    case 'look':
      return lookEntriesOf(specification);
    case 'level':
      return levelEntries;
    case 'test':
      return testEntries;
    case 'setTo':
      return setToEntries;
    default:
      return [];
  }
}

/** One measurement of the sheet: what, where, how, the limits, one large field, as found and as left. */
export function MeasurementFields({ line, typed, refused, verdicts }: FieldsProps) {
  const { measurement, unit } = line;
  const { specification } = measurement;
  const places = measurement.places ?? [null];
  const choices = choicesOf(specification);
  return (
    <fieldset class="measure">
      <legend>
        <b class="number">{line.number}</b> {capital(measurement.name)}
      </legend>
      <p>
        {unbroken(capital(line.limits))}
        {measurement.aim === undefined ? '' : `; aim for ${measurement.aim}`}
      </p>
      {measurement.method === undefined ? null : <p class="small">{unbroken(measurement.method)}</p>}
      {places.map((place, index) => (
        <div class="place">
          {place === null ? null : <p class="place-name">{capital(place)}</p>}
          {choices.length > 0 ? (
            <>
              <PlainFinding
                name={findingName(line, index, 'found')}
                choices={choices}
                typed={typed}
                refused={refused}
              />
              {specification.kind === 'level' ? (
                <TextField
                  label="Topped up by"
                  name={findingName(line, index, 'second')}
                  typed={typed}
                  unit={unit}
                  refused={refused}
                />
              ) : null}
              {specification.kind === 'test' && specification.longest !== undefined ? (
                <TextField
                  label="Time it took"
                  name={findingName(line, index, 'second')}
                  typed={typed}
                  unit={unit}
                  refused={refused}
                />
              ) : null}
              {specification.kind === 'look' || specification.kind === 'level' ? (
                <TextField
                  label="What you saw"
                  name={findingName(line, index, 'note')}
                  typed={typed}
                  unit={null}
                  refused={null}
                />
              ) : null}
              <MendedTick line={line} place={index} typed={typed} />
            </>
          ) : (
            <div class="pair">
              <TextField
                label={specification.kind === 'difference' ? (specification.first ?? 'First value') : 'As found'}
                name={findingName(line, index, 'found')}
                typed={typed}
                unit={unit}
                refused={refused}
              />
              {specification.kind === 'difference' ? (
                <TextField
                  label={specification.second ?? 'Second value'}
                  name={findingName(line, index, 'second')}
                  typed={typed}
                  unit={unit}
                  refused={refused}
                />
              ) : null}
              <TextField
                label="As left"
                name={findingName(line, index, 'left')}
                typed={typed}
                unit={unit}
                refused={refused}
              />
            </div>
          )}
          {specification.kind === 'setTo' ? null : (
            <Verdict name={findingName(line, index, 'found')} verdicts={verdicts} />
          )}
        </div>
      ))}
    </fieldset>
  );
}

/** How it stands, below its field: filled in as soon as a value is typed, and with every answer of the service. */
function Verdict({ name, verdicts }: { readonly name: string; readonly verdicts: Verdicts }) {
  return (
    <p class="verdict no-print" data-verdict={name} role="status">
      {verdicts[name] ?? ''}
    </p>
  );
}

/** What a look, a level or a test is as left once it was mended on the spot; null where nothing is judged. */
function soundOf({ kind }: Specification): string | null {
  switch (kind) {
    case 'look':
      return lookEntries[0];
    case 'level':
      return levelEntries[0];
    case 'test':
      return testEntries[0];
    default:
      return null;
  }
}

/** The value as left of what is chosen, not typed. Without it what was found stands. */
function MendedTick({ line, place, typed }: Omit<FieldsProps, 'refused' | 'verdicts'> & { readonly place: number }) {
  const sound = soundOf(line.measurement.specification);
  if (sound === null) return null;
  const name = findingName(line, place, 'left');
  return (
    <label class="step">
      <input type="checkbox" name={name} value={sound} checked={typed(name) === sound} />
      <span>Mended on the spot, as left: {sound}</span>
    </label>
  );
}

interface TextFieldProps {
  readonly label: string;
  readonly name: string;
  readonly typed: Typed;
  /** What a bare number is taken for; null where words are wanted or any unit has to be written. */
  readonly unit: string | null;
  readonly refused: string | null;
  /** Digits alone are enough: a phone shows their keys. */
  readonly isNumber?: boolean;
}

/** A field for a value or for words, its unit beside it. */
export function TextField({ label, name, typed, unit, refused, isNumber = false }: TextFieldProps) {
  return (
    <label>
      <span>{label}</span>
      <span class="with-unit">
        <input
          id={fieldId(name)}
          name={name}
          value={typed(name)}
          maxlength={60}
          autocomplete="off"
          {...(isNumber ? { inputmode: 'decimal' as const } : {})}
          {...(name === refused ? { 'aria-invalid': 'true' } : {})}
        />
        {unit === null ? null : <span class="unit">{sayUnit(unit)}</span>}
      </span>
    </label>
  );
}

/** A unit beside its field. */
function sayUnit(unit: string): string {
  return unit === 'C' || unit === 'F' ? `°${unit}` : unit;
}

interface ChoiceProps {
  readonly name: string;
  readonly choices: readonly string[];
  readonly typed: Typed;
  readonly refused: string | null;
}

/** One of several words to tick. */
export function PlainFinding({ name, choices, typed, refused }: ChoiceProps) {
  return (
    <div class={name === refused ? 'choices refused' : 'choices'} id={fieldId(name)}>
      {choices.map((choice) => (
        <label class="box">
          <input type="radio" name={name} value={choice} checked={typed(name) === choice} />
          <span>{choice}</span>
        </label>
      ))}
    </div>
  );
}
