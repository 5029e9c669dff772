import { pageFault } from '../errors.js';
import type { Form } from '../guard/form.js';
import { changesOf, type Edit, type Field, type Option, shownOf, type Values } from './fields.js';

/** What a sensor can tell, by its kind in the file. */
const sensorKinds: readonly Option[] = [
  { value: 'run-seconds', text: 'its run time so far' },
  { value: 'running', text: 'a word: it runs, it stands' },
  { value: 'meter-hours', text: 'what the hour meter shows' },
  { value: 'voltage', text: 'the voltage of the battery' },
];

const more = 'Where it needs more';
const words = 'Of words';
const voltage = 'Of a voltage';

/** What a form asks about the run-time sensor of a machine. */
export const sensorFields: readonly Field[] = [
  {
    name: 'kind',
    label: 'It tells',
    kind: 'choice',
    path: ['feed', 'kind'],
    options: sensorKinds,
  },
  {
    name: 'topic',
    label: 'Its topic on the broker',
    help: 'In full, such as barn/tractor/run.',
    kind: 'text',
    path: ['feed', 'topic'],
    isRequired: true,
  },
  {
    name: 'pointer',
    label: 'Where in a JSON message the value stands',
    help: 'Such as /seconds; empty: the message is the value.',
    kind: 'text',
    path: ['feed', 'pointer'],
  },
  {
    name: 'yes',
    label: 'Words that mean running',
    help: 'One on each line; empty: 1, true, run, on.',
    kind: 'lines',
    path: ['feed', 'yes'],
    section: words,
  },
  {
    name: 'no',
    label: 'Words that mean stopped',
    help: 'Empty: 0, false, stop, off.',
    kind: 'lines',
    path: ['feed', 'no'],
    section: words,
  },
  {
    name: 'above',
    label: 'It runs above',
    help: 'Such as 13.2 V.',
    kind: 'text',
    path: ['feed', 'above'],
    section: voltage,
    item: 'Limits',
    isShort: true,
  },
  {
    name: 'below',
    label: 'and stands below',
    help: 'Such as 12.9 V.',
    kind: 'text',
    path: ['feed', 'below'],
    section: voltage,
    item: 'Limits',
    isShort: true,
  },
  {
    name: 'hold',
    label: 'each for at least',
    help: 'Empty: 60 s.',
    kind: 'text',
    path: ['feed', 'hold'],
    section: voltage,
    item: 'Limits',
    isShort: true,
  },
  {
    name: 'silentAfter',
    label: 'It counts as gone after a silence of',
    help: 'Empty: 15 min. Hours from then on are estimated.',
    kind: 'text',
    path: ['feed', 'silentAfter'],
    section: more,
  },
  {
    name: 'aliveTopic',
    label: 'Topic of its last will',
    help: 'On which 0 says that it is gone, such as barn/tractor/alive.',
    kind: 'text',
    path: ['feed', 'aliveTopic'],
    section: more,
  },
  {
    name: 'timePointer',
    label: 'Where in the message its own time stands',
    help: 'Such as /at.',
    kind: 'text',
    path: ['feed', 'timePointer'],
    section: more,
  },
  {
    name: 'scale',
    label: 'Its number times this gives seconds, hours or volts',
    help: 'Such as 0.001 for milliseconds; empty: 1.',
    kind: 'number',
    path: ['feed', 'scale'],
    section: more,
  },
  {
    name: 'offset',
    label: 'and this is added',
    help: 'Empty: 0.',
    kind: 'number',
    path: ['feed', 'offset'],
    section: more,
  },
];

/** Fields that only one kind of sensor has. */
const ofKind: Readonly<Record<string, string>> = {
  yes: 'running',
  no: 'running',
  above: 'voltage',
  below: 'voltage',
  hold: 'voltage',
};

/** What a sent form changes about the sensor. What only another kind has goes with that kind.
 *  @throws Fault sensor-of-another-kind where such a thing was typed just now */
export function sensorChanges(form: Form, values: Values): readonly Edit[] {
  const kind = form.text('kind');
  const edits = changesOf(sensorFields, form, values).filter(({ fields: [field], value }) => {
    const only = ofKind[field?.name ?? ''];
    if (field === undefined || only === undefined || only === kind || value === undefined) return true;
    throw pageFault({
      code: 'sensor-of-another-kind',
      message: `Only a sensor that tells ${sensorKinds.find((one) => one.value === only)?.text ?? only} has this`,
      place: field.name,
      remedy: 'Clear it, or choose that kind above.',
    });
  });
  const gone = sensorFields
    .filter(({ name }) => ofKind[name] !== undefined && ofKind[name] !== kind)
    .filter((field) => shownOf(field, values).length > 0 && !edits.some(({ path }) => path === field.path))
    .map((field): Edit => ({ path: field.path, value: undefined, fields: [field] }));
  return [...edits, ...gone];
}
