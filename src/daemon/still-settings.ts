import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { minuteMs } from '../domain/day.js';
import { saySettingsFault, writeSettingsLetter } from '../words/settings.js';
import { fingerprint } from './reload.js';
import { copyWhenAsked, type Standstill, type StillCause } from './serve-still.js';
import { devicesIn } from './ways-past-data.js';
import { dataFolder } from './wire.js';

/** Standing still because neither the settings nor those from before can be used, until they can.
 *  @param fault    what is wrong, in a line
 *  @param isRight  reads them again */
export function stillForSettings(
  { homeDir, home, fault }: Omit<StillCause, 'fault' | 'clock'> & { readonly fault: string },
  isRight: () => boolean,
): Standstill {
  const file = join(dataFolder(homeDir), 'shedbell.sqlite');
  const said = () => saySettingsFault(homeDir, fault);
  let seen = fingerprint(homeDir);
  let readMs = performance.now();
  return {
    key: 'settings',
    code: 'settings-unusable',
    state: 'settings',
    said,
    letter: () => writeSettingsLetter(said(), home.household.name),
    devices: () => devicesIn(existsSync(file) ? file : null),
    copy: copyWhenAsked(homeDir, home),
    isOver() {
      // A day that lay ahead may have come, and a password may stand outside the folder.
      const now = fingerprint(homeDir);
      if (now === seen && performance.now() - readMs < minuteMs) return false;
      seen = now;
      readMs = performance.now();
      return isRight();
    },
  };
}
