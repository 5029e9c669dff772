import type { Caution } from '../domain/cautions.js';
import { pointsToTick } from '../domain/greased.js';
import type { Sheet, SheetKeep, SheetLine, SheetStep } from '../domain/results/sheet.js';
import { sayMinutes } from '../words/dates.js';
import { capital } from '../words/sentence.js';
import { notToday, sayJobMinutes, sayPoints } from '../words/sheet.js';
import { unbroken } from '../words/unbroken.js';
import {
  allSoundName,
  blockedName,
  fieldId,
  keepName,
  notTodayName,
  outcomeName,
  pointsName,
  type Typed,
} from './field-names.js';
import { MeasurementFields, PlainFinding, TextField } from './finding-fields.js';
import type { Verdicts } from './verdicts.js';

interface LinesProps {
  readonly sheet: Sheet;
  readonly typed: Typed;
  /** All values of a field that may be ticked several times. */
  readonly ticked: (name: string) => readonly string[];
  /** Name of the field whose value was not taken; null: none. */
  readonly refused: string | null;
  readonly verdicts: Verdicts;
}

/** The sheet in working order: state changes are lines across the page, a caution stands directly above its step. */
export function SheetLines({ sheet, typed, ticked, refused, verdicts }: LinesProps) {
  const sound = placesToLookAt(sheet);
  return (
    <div class="lines">
      {sheet.lines.map((line, index) => (
        <Line
          line={line}
          index={index}
          typed={typed}
          ticked={ticked}
          refused={refused}
          verdicts={verdicts}
          sound={sound.get(line) ?? 0}
        />
      ))}
    </div>
  );
}

interface LineProps extends Omit<LinesProps, 'sheet'> {
  readonly line: SheetLine;
  readonly index: number;
  /** Places that one tick above this line says are sound; 0: no such tick stands here. */
  readonly sound: number;
}

function Line({ line, index, typed, ticked, refused, verdicts, sound }: LineProps) {
  switch (line.kind) {
    case 'state':
      return <p class="state">{line.text}</p>;
    case 'task':
      return (
        <h3>
          {line.title}{' '}
          <span class="small">
            {sayJobMinutes(line)}
            {line.why === null ? '' : ` · ${line.why}`}
          </span>
        </h3>
      );
    case 'caution':
      return <CautionBox caution={line.caution} />;
    case 'note':
      return <p class="note">{unbroken(line.text)}</p>;
    case 'step':
      return <StepLine step={line} />;
    case 'points':
      return (
        <div class="measure">
          <p>
            <b class="number">{line.number}</b> {capital(sayPoints(line.points))}
          </p>
          <div class="boxes">
            {pointsToTick(line.points).map((point, box) => (
              <label class="box">
                <input
                  type="checkbox"
                  id={`point-${index}-${box}`}
                  name={pointsName(line)}
                  value={point}
                  checked={ticked(pointsName(line)).includes(point)}
                  data-keep=""
                />
                <span>{point}</span>
              </label>
            ))}
          </div>
          <label>
            <span>Takes no grease: which? Empty if all do</span>
            <input name={blockedName(line)} value={typed(blockedName(line))} maxlength={60} autocomplete="off" />
          </label>
        </div>
      );
    case 'measurement':
      return (
        <>
          {sound === 0 ? null : <AllSound task={line.task} places={sound} typed={typed} />}
          <MeasurementFields line={line} typed={typed} refused={refused} verdicts={verdicts} />
        </>
      );
    case 'outcomes':
      return (
        <fieldset class="measure">
          <legend>
            <b class="number">{line.number}</b> What was it?
          </legend>
          <PlainFinding name={outcomeName(line.task)} choices={line.outcomes} typed={typed} refused={refused} />
        </fieldset>
      );
    case 'keep':
      return (
        <fieldset class="measure">
          <legend>
            <b class="number">{line.number}</b> {capital(line.value.name)}
          </legend>
          <div class="pair">
            <KeepField line={line} moment="found" typed={typed} refused={refused} />
            <KeepField line={line} moment="left" typed={typed} refused={refused} />
          </div>
        </fieldset>
      );
    case 'if-out':
      return (
        <details class="if-out" open={typed(notTodayName(line.task)) === 'yes'}>
          <summary>
            Only if it was out: {sayMinutes(line.minutes)} more
            {line.tools.length === 0 ? '' : `, with ${line.tools.join(', ')}`}
          </summary>
          {line.steps.map((step) => (
            <StepLine step={step} />
          ))}
          <label class="step" id={fieldId(notTodayName(line.task))}>
            <input
              type="checkbox"
              name={notTodayName(line.task)}
              value="yes"
              checked={typed(notTodayName(line.task)) === 'yes'}
            />
            <span>{notToday}. Write above what was found; what it needs then stands under what to buy.</span>
          </label>
        </details>
      );
  }
}

/** Before the first look of a task, how many places its looks have together; tasks with one place are left out. */
function placesToLookAt({ lines }: Sheet): ReadonlyMap<SheetLine, number> {
  const first = new Map<string, SheetLine>();
  const places = new Map<string, number>();
  for (const line of lines) {
    if (line.kind !== 'measurement' || line.measurement.specification.kind !== 'look') continue;
    if (!first.has(line.task)) first.set(line.task, line);
    places.set(line.task, (places.get(line.task) ?? 0) + (line.measurement.places?.length ?? 1));
  }
  return new Map([...first].map(([task, line]) => [line, places.get(task) ?? 0] as const).filter(([, n]) => n > 1));
}

interface AllSoundProps {
  readonly task: string;
  readonly places: number;
  readonly typed: Typed;
}

/** One tap for all places; what is chosen at a place counts there all the same. */
function AllSound({ task, places, typed }: AllSoundProps) {
  const name = allSoundName(task);
  return (
    <label class="step">
      <input type="checkbox" name={name} value="yes" checked={typed(name) === 'yes'} />
      <span>
        <b>All {places} places looked at, all sound.</b> Choose below only where one is not.
      </span>
    </label>
  );
}

function StepLine({ step }: { readonly step: SheetStep }) {
  return (
    <>
      {step.caution === null ? null : <CautionBox caution={step.caution} />}
      <label class="step">
        <input type="checkbox" id={`step-${step.number}`} data-keep="" />
        <span>
          <b class="number">{step.number}</b> {step.text}
          <StepDetails step={step} />
        </span>
      </label>
    </>
  );
}

function StepDetails({ step }: { readonly step: SheetStep }) {
  const details = [
    // The name of a place is also what steps are ordered by: it is set as print only here.
    step.where?.replace(/(\p{L})'(?=\p{L})/gu, '$1’') ?? null,
    step.tool,
    step.unattendedMinutes === null ? null : `${sayMinutes(step.unattendedMinutes)} by itself`,
  ].filter((detail) => detail !== null);
  return details.length === 0 ? null : <span class="small details">{details.join(' · ')}</span>;
}

/** A caution with its signal word as ANSI Z535.4 has it: the word, the hazard, how to avoid it. */
export function CautionBox({ caution }: { readonly caution: Caution }) {
  return (
    <div class={`caution ${caution.signal.toLowerCase()}`} role="note">
      <p class="signal">{caution.signal}</p>
      <p>
        <b>{caution.hazard}</b> {caution.avoid}
      </p>
    </div>
  );
}

interface KeepFieldProps {
  readonly line: SheetKeep;
  readonly moment: 'found' | 'left';
  readonly typed: Typed;
  readonly refused: string | null;
}

function KeepField({ line, moment, typed, refused }: KeepFieldProps) {
  return (
    <TextField
      label={`As ${moment}`}
      name={keepName(line, moment)}
      typed={typed}
      unit={line.value.unit}
      refused={refused}
      isNumber
    />
  );
}
