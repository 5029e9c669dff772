import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** All that a run of the tests writes lies in one folder, which goes with the run, whatever a test forgot. */
export default function useOneTempFolder(): () => void {
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-tests-'));
  process.env.TMPDIR = folder;
  return () => rmSync(folder, { recursive: true, force: true });
}
