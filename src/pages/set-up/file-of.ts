import type { HomeFile } from '../../domain/home-change.js';
import type { SetUp } from '../../ledger/set-up.js';
import { pageFault } from '../errors.js';

/** A file of the home folder that is there.
 *  @throws Fault file-unsound */
export function fileOf(setUp: SetUp, file: string): HomeFile {
  const read = setUp.read(file);
  if (read === null || read.values === null) {
    throw pageFault({
      code: 'file-unsound',
      message: `${file} cannot be read as it stands`,
      remedy: 'shedbell check says what is wrong in it; mend it in an editor.',
    });
  }
  return read;
}
