import { entriesByMachine } from '../store/facts/machines.js';
import type { Books } from './books.js';

/** Machines that have entries in the books and no file in the home folder: renamed, or taken away without `gone: true`. */
export function leftBehind(books: Books): readonly { readonly machine: string; readonly entries: number }[] {
  const known = new Set(books.home().machines.map((machine) => machine.id));
  return [...entriesByMachine(books.store)]
    .filter(([machine]) => !known.has(machine))
    .map(([machine, entries]) => ({ machine, entries }));
}
