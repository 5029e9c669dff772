import type { Finding } from '../domain/facts.js';
import { fluidTold } from '../domain/fluid-used.js';
import { capital, ended, oneLine } from './sentence.js';

/** The fluid that really went in: `Engine oil that went in: 5W-40, 4 L.` with the warning where another was demanded.
 *  @returns  null for a finding about something else
 *  Source: common practice, no source. */
export function sayFluidUsed(finding: Finding): string | null {
  const name = fluidTold(finding);
  if (name === null) return null;
  const what = [finding.found ?? 'the kind on the sheet', finding.left].filter((part) => part !== null).join(', ');
  const warning = finding.note === null ? '' : ` ${ended(oneLine(finding.note))}`;
  return `${capital(name)} that went in: ${ended(oneLine(what))}${warning}`;
}
