import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { Fault } from '../domain/fault.js';
import type { FileChange, HomeFile, Proposal } from '../domain/home-change.js';
import { proposeChange, readHomeFile, writeChange, writeWhole } from '../home/change-file.js';
import type { Witness } from '../home/check-witness.js';
import { libraryPlans, loadLibraryPlan } from '../home/plan-library.js';
import type { Environment } from '../home/secrets.js';

/** The files of the home folder, for pages that set things up. */
export interface SetUp {
  /** Null where the file is not there. */
  read(file: string): HomeFile | null;
  /** What a change would write, and what would be wrong with it; writes nothing. */
  propose(change: FileChange): Proposal;
  /** Writes a change without faults and takes it over at once.
   *  @throws Fault home-unwritable */
  write(change: FileChange): Proposal;
  /** Puts a secret on one line of a file below secrets/, which only the service may read.
   *  @returns  the file, as configuration names it
   *  @throws Fault secret-unreadable, home-unwritable */
  keepSecret(name: 'mail' | 'broker', text: string): string;
  /** The file of a secret that was kept, as configuration names it; null where none was. */
  heldSecret(name: 'mail' | 'broker'): string | null;
  /** The plans that come with the service. */
  readonly plans: readonly PlanChoice[];
}

/** A plan to choose. */
export interface PlanChoice {
  /** As a machine's file names it. */
  readonly id: string;
  readonly title: string;
  readonly fittings: readonly string[];
}

/** @param taken  called after a file was written, so that the service takes it over */
export function openSetUp(
  homeDir: string,
  environment: Environment,
  witness: Witness | null,
  taken: () => void,
): SetUp {
  let plans: readonly PlanChoice[] | null = null;
  return {
    read: (file) => readHomeFile(homeDir, file),
    propose: (change) => proposeChange(homeDir, change, environment, witness),
    write(change) {
      const proposal = writeChange(homeDir, change, environment, witness);
      if (proposal.kind === 'proposal' && proposal.faults.length === 0) taken();
      return proposal;
    },
    keepSecret(name, text) {
      if (!/^[\x20-\x7e\u00a0-\uffff]{1,500}$/.test(text)) {
        throw new Fault({
          code: 'secret-unreadable',
          message: 'This is no password on one line',
          remedy: 'Type 1 to 500 signs without a line break.',
        });
      }
      const file = `secrets/${name}`;
      writeWhole(join(homeDir, file), `${text}\n`, 0o600);
      return file;
    },
    heldSecret: (name) => (existsSync(join(homeDir, `secrets/${name}`)) ? `secrets/${name}` : null),
    // Read when a page first asks: the start does not wait for plans that no machine uses.
    get plans() {
      plans ??= readPlans();
      return plans;
    },
  };
}

function readPlans(): readonly PlanChoice[] {
  return libraryPlans().flatMap((name) => {
    const read = loadLibraryPlan(name);
    return read.kind === 'plan' ? [{ id: read.plan.id, title: read.plan.title, fittings: read.plan.fittings }] : [];
  });
}
