import { dayOf, parseZone, type Zone } from '../domain/day.js';
import { sayReach } from '../home/addresses.js';
import { loadHome } from '../home/load-home.js';
import { initHome } from '../home/write-example.js';
import { clockAt } from './at.js';
import { exitStatus, type Output } from './output.js';

/** Writes a commented home folder and says what comes next. Exit status 2 where a home is there already. */
export function runInit(dir: string, out: Output, now?: string): number {
  if (dir.trim() === '') {
    out.error('An empty name was given for the home folder. Name one, such as: shedbell init ./shed');
    return exitStatus.badInput;
  }
  const zone = zoneOfThisComputer();
  const written = initHome(dir, { today: dayOf(clockAt({ now }, zone).nowMs(), zone), zone });
  if (written.kind === 'faults') {
    for (const fault of written.faults) out.error(fault.line);
    return written.faults.some(({ retry }) => retry === 'later') ? exitStatus.failed : exitStatus.badInput;
  }
  out.line(`A home folder is in ${dir}:`);
  for (const file of written.files) out.line(`  ${file}`);
  out.line('');
  out.line(
    `Next: the two machines in ${dir}/machines are examples, with every key explained. Change them into your own,`,
  );
  out.line('copy them for more, and delete what you do not have. Then');
  out.line(`  shedbell --home ${dir} check     says every error with its line`);
  out.line(`  shedbell --home ${dir} start     runs the service`);
  const loaded = loadHome(dir);
  if (loaded.kind === 'home') {
    out.line('');
    for (const sentence of sayReach(loaded.home.household)) out.line(sentence);
  }
  return exitStatus.fine;
}

function zoneOfThisComputer(): Zone {
  try {
    return parseZone(Intl.DateTimeFormat().resolvedOptions().timeZone);
  } catch {
    return parseZone('UTC');
  }
}
