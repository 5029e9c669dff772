import { randomBytes } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Day, Zone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { systemCode } from './read-file.js';

const template = fileURLToPath(new URL('../../config/example-home/', import.meta.url));

/** Files of a new home, by their names there. `.gitignore` has a plain name in the template, where it shall hide nothing.
 *  household.yaml comes last: once it is there, the home is whole. */
const files = [
  { from: 'gitignore', to: '.gitignore' },
  { from: 'machines/hill-tractor.yaml', to: 'machines/hill-tractor.yaml' },
  { from: 'machines/brush-cutter.yaml', to: 'machines/brush-cutter.yaml' },
  { from: 'household.yaml', to: 'household.yaml' },
] as const;

/** What a new home takes over from the computer it is written on. */
export interface NewHome {
  /** The machines' first day. */
  readonly today: Day;
  readonly zone: Zone;
}

export type InitResult = { kind: 'written'; files: readonly string[] } | { kind: 'faults'; faults: Fault[] };

/** Writes a commented home folder. Either the whole of it is there afterwards, or nothing that was not there before.
 *  Refuses a folder that has a home already, and one that holds a file which it would overwrite. */
export function initHome(dir: string, { today, zone }: NewHome): InitResult {
  const taken = files.findLast(({ to }) => existsSync(join(dir, to)));
  if (taken !== undefined || (existsSync(dir) && !statSync(dir).isDirectory())) {
    return refused(dir, taken?.to ?? null);
  }
  const target = resolve(dir);
  const isThere = existsSync(target);
  // Inside a folder that is there: it may be a mount point, whose parent is another disk or not ours to write.
  const fresh = join(isThere ? target : dirname(target), `.shedbell-init-${randomBytes(6).toString('hex')}`);
  try {
    mkdirSync(join(fresh, 'machines'), { recursive: true });
    for (const { from, to } of files) {
      const text = readFileSync(join(template, from), 'utf8')
        .replace(/^since: \S+/gm, `since: ${today}`)
        .replace(/^timezone: \S+/m, `timezone: ${zone}`);
      writeFileSync(join(fresh, to), text, { flush: true });
    }
    if (isThere) moveInto(fresh, target);
    else renameSync(fresh, target);
    return { kind: 'written', files: files.map(({ to }) => join(dir, to)) };
  } catch (cause) {
    return {
      kind: 'faults',
      faults: [
        new Fault({
          code: 'home-unwritable',
          message: `The home folder cannot be written (${systemCode(cause)})`,
          place: dir,
          remedy: 'See whether this user may write there and whether the disk has room.',
          retry: 'later',
          cause,
        }),
      ],
    };
  } finally {
    rmSync(fresh, { recursive: true, force: true });
  }
}

/** Into a folder that is there: file by file, household.yaml last; what was moved is taken back on failure. */
function moveInto(fresh: string, target: string): void {
  const moved: string[] = [];
  const hadMachines = existsSync(join(target, 'machines'));
  try {
    mkdirSync(join(target, 'machines'), { recursive: true });
    for (const { to } of files) {
      renameSync(join(fresh, to), join(target, to));
      moved.push(join(target, to));
    }
  } catch (cause) {
    for (const file of moved) rmSync(file, { force: true });
    if (!hadMachines) rmSync(join(target, 'machines'), { recursive: true, force: true });
    throw cause;
  }
}

function refused(dir: string, file: string | null): InitResult {
  const fault =
    file === null
      ? new Fault({
          code: 'home-exists',
          message: 'A file has this name already',
          place: dir,
          remedy: 'Name a folder that is not there yet.',
        })
      : new Fault({
          code: 'home-exists',
          message: file === 'household.yaml' ? 'This folder has a home already' : 'A file stands in the way',
          place: join(dir, file),
          remedy: 'Name another folder; nothing was changed here.',
        });
  return { kind: 'faults', faults: [fault] };
}
