import { driftsOf } from '../outlook/trends-of.js';
import { capital } from '../words/sentence.js';
import { Figures } from './pieces.js';
import type { Shown } from './shown.js';

/** What is measured again and again and draws near its limit; nothing is said of what stays. */
export function Drifts({ shown }: { readonly shown: Shown }) {
  const drifts = driftsOf(shown.judged, shown.facts, shown.household.units);
  if (drifts.length === 0) return null;
  return (
    <section>
      <h2>To watch</h2>
      <ul class="tasks">
        {drifts.map(({ name, text }) => (
          <li>
            <strong>{capital(name)}</strong>
            <span>
              <Figures text={text} />
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
