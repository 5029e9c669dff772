import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { parseZone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Witness } from './check-witness.js';
import { loadHousehold } from './load-household.js';
import { loadMachine, type PlanShelf } from './load-machine.js';
import { loadPlan, type PlanRead } from './load-plan.js';
import { libraryPlans, loadLibraryPlan } from './plan-library.js';
import { systemCode } from './read-file.js';
import type { Unfitted } from './resolve-machine.js';
import type { Environment } from './secrets.js';

export type HomeRead =
  | { kind: 'home'; home: Home; unfitted: readonly Unfitted[] }
  | { kind: 'faults'; faults: Fault[] };

/** The home folder read, checked and resolved, or every fault in all of its files, each with its place. Never throws.
 *  @param dir          the home folder, from which names of secret files count
 *  @param environment  where passwordEnv is looked up
 *  @param witness      null: days years ahead and contradicting readings are not looked at
 *  @param from         where household.yaml, machines/ and plans/ stand, if not in `dir` */
export function loadHome(
  dir: string,
  environment: Environment = process.env,
  witness: Witness | null = null,
  from: string = dir,
): HomeRead {
  const missing = checkFolder(from);
  if (missing !== null) return { kind: 'faults', faults: [missing] };
  const household = loadHousehold(dir, join(from, 'household.yaml'), environment);
  const zone = household.kind === 'household' ? household.household.zone : parseZone('UTC');

  const machineFiles = listYaml(join(from, 'machines'));
  const planFiles = listYaml(join(from, 'plans'));
  const ownPlans = new Map(planFiles.files.map(({ id, file }) => [id, loadPlan(id, file)]));
  const shelf = makeShelf(ownPlans);
  const machineReads = machineFiles.files.map(({ id, file }) => loadMachine(id, file, shelf, zone, witness));

  const faults = [
    ...(household.kind === 'faults' ? household.faults : []),
    ...machineFiles.faults,
    ...machineReads.flatMap((read) => (read.kind === 'faults' ? read.faults : [])),
    ...planFiles.faults,
    ...[...ownPlans.values(), ...shelf.libraryReads()].flatMap((read) => (read.kind === 'faults' ? read.faults : [])),
  ];
  if (faults.length > 0 || household.kind === 'faults') return { kind: 'faults', faults: inReadingOrder(faults) };
  const machines: Machine[] = machineReads.flatMap((read) => (read.kind === 'machine' ? [read.machine] : []));
  const unfitted = machineReads.flatMap((read) =>
    read.kind === 'machine' && read.unfitted !== null ? [read.unfitted] : [],
  );
  return { kind: 'home', home: { household: household.household, machines }, unfitted };
}

function checkFolder(dir: string): Fault | null {
  const remedy = `Make one with: shedbell init ${dir}`;
  const fault = (message: string, place: string, cause?: unknown) =>
    new Fault({ code: 'home-missing', message, place, remedy, retry: 'after-fix', cause });
  try {
    if (!statSync(dir).isDirectory()) return fault('The home folder is a file', dir);
  } catch (cause) {
    return fault(`The home folder is not there (${systemCode(cause)})`, dir, cause);
  }
  try {
    statSync(join(dir, 'household.yaml'));
    return null;
  } catch (cause) {
    const odd = oddHousehold(dir);
    if (odd !== null) {
      return new Fault({
        code: 'file-name',
        message: 'This file must be called household.yaml',
        place: join(dir, odd),
        found: JSON.stringify(odd),
        remedy: 'Rename it to household.yaml.',
        retry: 'after-fix',
        cause,
      });
    }
    return fault(`household.yaml is not there (${systemCode(cause)})`, join(dir, 'household.yaml'), cause);
  }
}

/** A household file under a name close to its own, such as household.yml or Household.yaml.txt. */
function oddHousehold(dir: string): string | null {
  try {
    return readdirSync(dir).find((name) => /^household\.ya?ml(\.txt)?$/i.test(name)) ?? null;
  } catch {
    return null;
  }
}

interface Listing {
  readonly files: readonly { readonly id: string; readonly file: string }[];
  readonly faults: readonly Fault[];
}

/** Files that end in `.yaml`, by name. Hidden files and other endings are not ours, but `.yml`, `.yaml.txt` and odd names most
 *  likely were meant to be; they are said, not passed over. A folder that is not there is empty. */
function listYaml(folder: string): Listing {
  let names: string[];
  try {
    names = readdirSync(folder).sort();
  } catch (cause) {
    if (systemCode(cause) === 'ENOENT') return { files: [], faults: [] };
    const message = `This folder cannot be read (${systemCode(cause)})`;
    return {
      files: [],
      faults: [new Fault({ code: 'file-unreadable', message, place: folder, retry: 'after-fix', cause })],
    };
  }
  const meant = names.filter((name) => /^[^.].*\.ya?ml(\.txt)?$/i.test(name));
  const isGood = (name: string) => /^(?!constructor\.)[a-z0-9]+(?:-[a-z0-9]+)*\.yaml$/.test(name);
  return {
    files: meant.filter(isGood).map((name) => ({ id: name.slice(0, -'.yaml'.length), file: join(folder, name) })),
    faults: meant
      .filter((name) => !isGood(name))
      .map(
        (name) =>
          new Fault({
            code: 'file-name',
            message: /\.yaml$/.test(name)
              ? 'The name of this file cannot serve as an id'
              : 'The name of this file must end in .yaml',
            place: join(folder, name),
            found: JSON.stringify(name),
            remedy: isGood(name.replace(/\.ya?ml(\.txt)?$/i, '.yaml'))
              ? `Rename it to ${suggestName(name)}.`
              : `Rename it to lower-case letters, digits and single dashes, ending in .yaml, such as ${suggestName(name)}.`,
            retry: 'after-fix',
          }),
      ),
  };
}

function suggestName(name: string): string {
  const plain = name
    .replace(/\.ya?ml(\.txt)?$/i, '')
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return `${plain === '' || plain === 'constructor' ? 'hill-tractor' : plain}.yaml`;
}

/** Own plans by file name, plans of the library with `library:` before theirs, read once each. */
function makeShelf(own: ReadonlyMap<string, PlanRead>): PlanShelf & { libraryReads(): readonly PlanRead[] } {
  const library = libraryPlans();
  const reads = new Map<string, PlanRead>();
  return {
    names: [...library.map((name) => `library:${name}`), ...own.keys()],
    libraryReads: () => [...reads.values()],
    find(name) {
      if (!name.startsWith('library:')) return own.get(name) ?? null;
      const bare = name.slice('library:'.length);
      if (!library.includes(bare)) return null;
      const read = reads.get(bare) ?? loadLibraryPlan(bare);
      reads.set(bare, read);
      return read;
    },
  };
}

/** Files in the order in which they were read, places within each from top to bottom. */
function inReadingOrder(faults: readonly Fault[]): Fault[] {
  const places = faults.map((fault, index) => {
    const parts = /^(.*?)(?::(\d+):(\d+))?$/s.exec(fault.place ?? '');
    return { fault, index, file: parts?.[1] ?? '', line: Number(parts?.[2] ?? 0), column: Number(parts?.[3] ?? 0) };
  });
  const firstOf = new Map<string, number>();
  for (const { file, index } of places) if (!firstOf.has(file)) firstOf.set(file, index);
  return places
    .sort(
      (a, b) =>
        (firstOf.get(a.file) ?? 0) - (firstOf.get(b.file) ?? 0) ||
        a.line - b.line ||
        a.column - b.column ||
        a.index - b.index,
    )
    .map(({ fault }) => fault);
}
