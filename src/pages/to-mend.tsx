import type { Facts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import { openFindings } from '../domain/open-findings.js';
import type { Outlook } from '../domain/results/outlook.js';
import { sayOpenFinding } from '../words/open-finding.js';
import type { Shown } from './shown.js';

/** What was found outside its limits and left so, on every machine that is here: a sentence each. */
export function sayToMend({ machines, household }: Home, facts: Facts, { today }: Outlook): readonly string[] {
  return machines
    .filter(({ gone }) => !gone)
    .flatMap((machine) => {
      const known = facts.machines.find((one) => one.machine === machine.id);
      const findings = known === undefined ? [] : openFindings(machine, known);
      return findings.map((finding) => sayOpenFinding(finding, machine, today, household.locale));
    });
}

/** The same on the pages of one machine.
 *  @param tasks  only these; null: all */
export function ToMend({ shown, tasks }: { readonly shown: Shown; readonly tasks: readonly string[] | null }) {
  const { machine, facts, outlook, household } = shown;
  return (
    <>
      {openFindings(machine, facts)
        .filter(({ task }) => tasks === null || tasks.includes(task))
        .map((finding) => (
          <p class="said">{sayOpenFinding(finding, machine, outlook.today, household.locale)}</p>
        ))}
    </>
  );
}
