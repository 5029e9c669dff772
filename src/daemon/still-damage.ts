import { statSync } from 'node:fs';
import { join } from 'node:path';
import { dayOf } from '../domain/day.js';
import { takeLock } from '../store/lock.js';
import { whyDamaged } from '../store/whole.js';
import { sayDamage, writeDamageLetter } from '../words/damage.js';
import { copiesFolders, datedCopy } from './copies.js';
import { copyWhenAsked, type Standstill, type StillCause } from './serve-still.js';
import { devicesIn } from './ways-past-data.js';
import { dataFolder } from './wire.js';

/** Standing still because the data file is damaged, until it was replaced by one that is whole and whoever replaced it is done. */
export function stillForDamage({ homeDir, home, fault, clock }: StillCause): Standstill {
  const { household } = home;
  const file = join(dataFolder(homeDir), 'shedbell.sqlite');
  const copy = copyWhenAsked(homeDir, home);
  const said = () => {
    return sayDamage(
      {
        file,
        found: fault.found ?? fault.message,
        copy: datedCopy(copy(), household.zone),
        copies: copiesFolders(homeDir, household).join(' and '),
        home: homeDir,
        standsStill: true,
      },
      dayOf(clock.nowMs(), household.zone),
      household.locale,
    );
  };
  const before = markOf(file);
  return {
    key: 'data-file',
    code: fault.code,
    state: 'damaged',
    said,
    letter: () => writeDamageLetter(said(), household.name),
    devices: () => devicesIn(copy()?.file ?? null),
    copy,
    isOver: () => markOf(file) !== before && isReplaced(file, dataFolder(homeDir)),
  };
}

/** Changes when a file is replaced or written. A file that is not there is no replacement. */
function markOf(file: string): string {
  const stat = statSync(file, { throwIfNoEntry: false });
  return stat === undefined ? '' : `${stat.ino} ${stat.size} ${stat.mtimeMs}`;
}

/** Whether a whole file stands there and nobody works on it any more. */
function isReplaced(file: string, folder: string): boolean {
  if (markOf(file) === '') return false;
  try {
    takeLock(folder, { pid: process.pid }).release();
    return whyDamaged(file, 0) === null;
  } catch {
    return false;
  }
}
