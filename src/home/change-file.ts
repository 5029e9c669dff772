import { createHash, randomBytes } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { Fault } from '../domain/fault.js';
import type { FileChange, HomeFile, Plain, Proposal, WrongValue } from '../domain/home-change.js';
import { changeYaml } from './change-yaml.js';
import type { Witness } from './check-witness.js';
import { loadHome } from './load-home.js';
import { readTextFile, systemCode } from './read-file.js';
import { readYaml } from './read-yaml.js';
import type { Environment } from './secrets.js';
import { pathAt } from './yaml-path.js';

/** Says whether two texts of a file are the same. */
function markOf(text: string): string {
  return createHash('sha256').update(text).digest('hex').slice(0, 16);
}

/** A file of the home folder as it is; null where it is not there or not readable. */
export function readHomeFile(homeDir: string, file: string): HomeFile | null {
  const read = readTextFile(join(homeDir, file));
  if (read.kind === 'fault') return null;
  const parsed = readYaml(file, read.text);
  const value = parsed.kind === 'yaml' ? parsed.yaml.value : null;
  return { text: read.text, mark: markOf(read.text), values: isMap(value) ? value : null };
}

function isMap(value: unknown): value is { readonly [key: string]: Plain } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** What a change would make of its file, and every fault that it would have then. Writes nothing. */
export function proposeChange(
  homeDir: string,
  change: FileChange,
  environment: Environment,
  witness: Witness | null,
): Proposal {
  try {
    const { before, after } = textsOf(homeDir, change);
    return {
      kind: 'proposal',
      file: change.file,
      before,
      after,
      faults: judge(homeDir, change.file, after, environment, witness),
    };
  } catch (failure) {
    if (failure instanceof Fault) return { kind: 'refused', fault: failure };
    throw failure;
  }
}

/** Writes a change that has no fault: the file is the old one or the new one at any moment.
 *  @returns  the proposal; with faults in it nothing was written
 *  @throws Fault home-unwritable */
export function writeChange(
  homeDir: string,
  change: FileChange,
  environment: Environment,
  witness: Witness | null,
): Proposal {
  const proposal = proposeChange(homeDir, change, environment, witness);
  if (proposal.kind === 'refused' || proposal.faults.length > 0 || proposal.after === proposal.before) return proposal;
  const file = join(homeDir, change.file);
  const isThere = existsSync(file);
  // The judging took a while: an editor may have saved meanwhile.
  const now = isThere ? readTextFile(file) : null;
  if ((now?.kind === 'text' ? now.text : '') !== proposal.before || isThere !== (change.kind === 'change')) {
    return { kind: 'refused', fault: changedMeanwhile(change.file) };
  }
  // A link stays one: what it leads to is changed.
  const target = isThere ? realpathSync(file) : file;
  writeWhole(target, isThere && beginsWithMark(target) ? `${byteOrderMark}${proposal.after}` : proposal.after);
  return proposal;
}

const byteOrderMark = '\ufeff';

/** Some editors begin a file with this sign, and miss it where it is gone. */
function beginsWithMark(file: string): boolean {
  return readFileSync(file).subarray(0, 3).equals(Buffer.from(byteOrderMark));
}

/** A file written beside its place, put on the disk, and moved there.
 *  @param mode  of a file with a secret in it: 0o600; without it the file keeps the mode that it has
 *  @throws Fault home-unwritable */
export function writeWhole(file: string, text: string, mode?: number): void {
  const fresh = join(dirname(file), `.${basename(file)}.${randomBytes(4).toString('hex')}`);
  try {
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(fresh, text, { flush: true, mode: 0o600 });
    chmodSync(fresh, mode ?? modeOf(file));
    renameSync(fresh, file);
    const folder = openSync(dirname(file), 'r');
    fsyncSync(folder);
    closeSync(folder);
  } catch (cause) {
    rmSync(fresh, { force: true });
    throw new Fault({
      code: 'home-unwritable',
      message: `The home folder cannot be written (${systemCode(cause)})`,
      place: file,
      remedy: 'See whether the service may write there and whether the disk has room; or change the file by hand.',
      retry: 'later',
      cause,
    });
  }
}

function modeOf(file: string): number {
  return existsSync(file) ? statSync(file).mode & 0o777 : 0o644;
}

function textsOf(homeDir: string, change: FileChange): { before: string; after: string } {
  const file = join(homeDir, change.file);
  if (change.kind === 'new') {
    if (!existsSync(file)) return { before: '', after: changeYaml(change.text, change.values) };
    throw new Fault({
      code: 'file-there',
      message: 'There is a machine of this name already',
      found: change.file,
      remedy: 'Give the new one another name, or change the one that is there.',
    });
  }
  const read = readTextFile(file);
  if (read.kind === 'fault') throw read.fault;
  if (markOf(read.text) !== change.base) {
    throw changedMeanwhile(change.file);
  }
  return { before: read.text, after: changeYaml(read.text, change.values) };
}

function changedMeanwhile(file: string): Fault {
  return new Fault({
    code: 'file-changed',
    message: 'This file was changed meanwhile, so nothing was written over it',
    found: file,
    remedy: 'Open the page again: it shows the file as it is now.',
  });
}

/** The faults of one file if it held this text, found by reading a home that is the same in all else. */
function judge(
  homeDir: string,
  file: string,
  text: string,
  environment: Environment,
  witness: Witness | null,
): readonly WrongValue[] {
  const stage = newStage();
  try {
    inStage(() => copyBeside(homeDir, stage, file, text));
    const read = loadHome(stage, environment, witness);
    if (read.kind === 'home') return [];
    const here = join(stage, file);
    return read.faults
      .filter(({ place }) => place === undefined || place.startsWith(here))
      .map(({ code, message, place, found, remedy, retry }) => {
        const [, line = '1', column = '1'] = /:(\d+):(\d+)$/.exec(place ?? '') ?? [];
        return {
          fault: new Fault({ code, message, place: place?.replace(here, file), found, remedy, retry }),
          path: pathAt(text, Number(line), Number(column)),
        };
      });
  } finally {
    rmSync(stage, { recursive: true, force: true });
  }
}

/** A folder of its own, below that for temporary files. */
function newStage(): string {
  return inStage(() => mkdtempSync(join(tmpdir(), 'shedbell-check-')));
}

/** @throws Fault home-unwritable where there is no room for temporary files */
function inStage<T>(write: () => T): T {
  try {
    return write();
  } catch (cause) {
    throw new Fault({
      code: 'home-unwritable',
      message: `The folder for temporary files cannot be written (${systemCode(cause)}), so nothing was checked or changed`,
      remedy: 'See whether the disk has room; or change the file by hand.',
      retry: 'later',
      cause,
    });
  }
}

/** The same home with another text in one file; all else by links. */
function copyBeside(homeDir: string, stage: string, file: string, text: string): void {
  const [folder] = file.includes('/') ? [dirname(file)] : [null];
  link(homeDir, stage, (name) => name !== folder && name !== file && name !== 'data');
  if (folder !== null) {
    mkdirSync(join(stage, folder));
    if (existsSync(join(homeDir, folder)))
      link(join(homeDir, folder), join(stage, folder), (name) => name !== basename(file));
  }
  writeFileSync(join(stage, file), text);
}

function link(from: string, to: string, wanted: (name: string) => boolean): void {
  for (const name of readdirSync(from)) if (wanted(name)) symlinkSync(resolve(from, name), join(to, name));
}
