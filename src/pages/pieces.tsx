import type { Fault } from '../domain/fault.js';
import type { Machine } from '../domain/machine.js';
import { sayDaysIn } from '../words/days-in.js';
import { capital } from '../words/sentence.js';
import { unbroken } from '../words/unbroken.js';
import { fieldId } from './field-names.js';
import type { Way } from './layout.js';
import type { Shown } from './shown.js';

/** Hours of a meter such as `386 h` or `38.6 h`; `1 h 50` and `2 h` are times of work. */
const hoursShown = /(\d[\d,]*(?:\d|\.\d+)\u00a0h)(?!\p{L}|\u00a0\d\d\b)/u;

/** Where nothing is said of times of work. */
const anyHours = /(\d[\d,]*(?:\.\d+)?\u00a0h)(?!\p{L})/u;

interface FiguresProps {
  readonly text: string;
  /** No hours in it are a time of work, so that `9 h` stands out too. */
  readonly areAllOfMeter?: boolean;
}

/** A sentence whose hours stand out, such as "about **386 h** (379 to 394)". */
export function Figures({ text, areAllOfMeter = false }: FiguresProps) {
  return (
    <>
      {unbroken(text)
        .split(areAllOfMeter ? anyHours : hoursShown)
        .map((part, index) => (index % 2 === 1 ? <b>{part}</b> : part))}
    </>
  );
}

/** The sentence that says what a visit is: what and when as the heading, what is behind its colon below, so that on a phone the heading
 *  is not a screen of large letters. */
export function VisitHeading({ sentence }: { readonly sentence: string }) {
  const colon = sentence.indexOf(': ');
  if (colon < 0) return <h1>{sentence}</h1>;
  return (
    <>
      <h1>{sentence.slice(0, colon)}.</h1>
      <p>
        <Figures text={capital(sentence.slice(colon + 2))} />
      </p>
    </>
  );
}

/** A drawing made by charts/, which escapes every text in it. */
export function Drawing({ svg, caption }: { readonly svg: string; readonly caption?: string }) {
  if (svg === '') return null;
  return (
    <figure>
      {caption === undefined ? null : <figcaption>{caption}</figcaption>}
      <div class="drawing" dangerouslySetInnerHTML={{ __html: svg }} />
    </figure>
  );
}

interface TroubleProps {
  readonly fault: Fault | null;
  readonly shown: Shown;
  /** Name of the field that it is about, on a page too long to see it; absent or null: no link leads there. */
  readonly field?: string | null;
}

/** What was wrong with an entry, above the form that kept it. */
export function Trouble({ fault, shown, field = null }: TroubleProps) {
  if (fault === null) return null;
  const found = fault.found === undefined ? '' : ` (found ${fault.found})`;
  const stop = /[.?!]$/.test(fault.message) ? '' : '.';
  return (
    <div class="said" role="alert">
      <p>
        <strong>Not taken.</strong> {capital(sayDaysIn(fault.message, shown.outlook.today, shown.household.locale))}
        {found}
        {stop}
      </p>
      {fault.remedy === undefined ? null : <p>{fault.remedy}</p>}
      {field === null ? null : (
        <p>
          <a class="way" href={`#${fieldId(field)}`}>
            To the field
          </a>{' '}
          Everything you typed is still there.
        </p>
      )}
    </div>
  );
}

/** The way back to the page of a machine. */
export function wayToMachine({ id, name }: Pick<Machine, 'id' | 'name'>): Way {
  return { href: `/machines/${id}`, text: name };
}

/** The key that makes a form count once, however often it is sent. */
export function KeyField({ value }: { readonly value: string }) {
  return <input type="hidden" name="key" value={value} />;
}
