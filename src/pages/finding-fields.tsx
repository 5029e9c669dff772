import type { SheetMeasurement } from '../domain/results/sheet.js';
import type { Specification } from '../domain/specification.js';
import type { Typed } from './sheet-lines.js';

interface FieldsProps {
  readonly line: SheetMeasurement;
  readonly typed: Typed;
}

/** Name of a measurement's field; `place` counts the places, 0 where there is one. */
export function fieldName(line: SheetMeasurement, place: number, what: 'found' | 'second' | 'left' | 'note'): string {
  return `m.${line.task}.${line.measurement.id}.${place}.${what}`;
}

/** What may be chosen instead of typed, by the kind of measurement; empty where a value is typed. */
export function choicesOf(specification: Specification): readonly string[] {
  switch (specification.kind) {
    case 'look':
      return ['sound', 'dry', 'damp', 'dripping', 'not sound'];
    case 'level':
      return ['between the marks', 'below the lower mark', 'above the upper mark', 'looks wrong'];
    case 'test':
      return ['passed', 'failed'];
    case 'setTo':
      return ['set, it did not turn', 'set, it turned'];
    default:
      return [];
  }
}

/** One measurement of the sheet: what, where, how, the limits, one large field, as found and as left. */
export function MeasurementFields({ line, typed }: FieldsProps) {
  const { measurement } = line;
  const { specification } = measurement;
  const places = measurement.places ?? [null];
  const choices = choicesOf(specification);
  return (
    <fieldset class="measure">
      <legend>
        <b class="number">{line.number}</b> {measurement.name}
      </legend>
      <p>
        {line.limits}
        {measurement.aim === undefined ? '' : `; aim for ${measurement.aim}`}
      </p>
      {measurement.method === undefined ? null : <p class="small">{measurement.method}</p>}
      {places.map((place, index) => (
        <div class="place">
          {place === null ? null : <p class="place-name">{place}</p>}
          {choices.length > 0 ? (
            <>
              <PlainFinding name={fieldName(line, index, 'found')} choices={choices} typed={typed} />
              {specification.kind === 'level' ? (
                <TextField label="Topped up by" name={fieldName(line, index, 'left')} typed={typed} />
              ) : null}
              {specification.kind === 'test' && specification.longest !== undefined ? (
                <TextField label="Time it took" name={fieldName(line, index, 'second')} typed={typed} />
              ) : null}
              {specification.kind === 'look' ? (
                <TextField label="What you saw" name={fieldName(line, index, 'note')} typed={typed} />
              ) : null}
            </>
          ) : (
            <div class="pair">
              <TextField
                label={specification.kind === 'difference' ? (specification.first ?? 'First value') : 'As found'}
                name={fieldName(line, index, 'found')}
                typed={typed}
              />
              {specification.kind === 'difference' ? (
                <TextField
                  label={specification.second ?? 'Second value'}
                  name={fieldName(line, index, 'second')}
                  typed={typed}
                />
              ) : null}
              <TextField label="As left" name={fieldName(line, index, 'left')} typed={typed} />
            </div>
          )}
        </div>
      ))}
    </fieldset>
  );
}

interface TextFieldProps {
  readonly label: string;
  readonly name: string;
  readonly typed: Typed;
}

function TextField({ label, name, typed }: TextFieldProps) {
  return (
    <label>
      <span>{label}</span>
      <input name={name} value={typed(name)} maxlength={60} autocomplete="off" />
    </label>
  );
}

interface ChoiceProps {
  readonly name: string;
  readonly choices: readonly string[];
  readonly typed: Typed;
}

/** One of several words to tick. */
export function PlainFinding({ name, choices, typed }: ChoiceProps) {
  return (
    <div class="choices">
      {choices.map((choice) => (
        <label class="box">
          <input type="radio" name={name} value={choice} checked={typed(name) === choice} />
          <span>{choice}</span>
        </label>
      ))}
    </div>
  );
}
