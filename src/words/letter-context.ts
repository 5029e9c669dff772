import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { LetterBlock } from '../domain/results/letter.js';
import type { Notice } from '../domain/results/notice.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import { sayDaysIn } from './days-in.js';
import { oneLine } from './sentence.js';

/** Makes the addresses that a letter holds; the signing is done by whoever hands it in. */
export interface LinkMaker {
  /** Confirms a visit, or answers "not this weekend", "leave it out", "it was done on …". */
  visit(visitId: string, person: string): string;
  sheet(visitId: string): string;
  /** Enters a reading, or a run where the machine has no meter. */
  reading(machine: string, person: string): string;
  page(): string;
  /** False: the addresses open on this computer only. */
  readonly opensElsewhere: boolean;
}

/** What a letter may speak of. */
export interface LetterContext {
  readonly home: Home;
  readonly outlook: Outlook;
  /** By visit id. */
  readonly sheets: ReadonlyMap<string, Sheet>;
  readonly links: LinkMaker;
}

/** One notice in words, before several are put into one letter. */
export interface NoticeWords {
  readonly subject: string;
  /** One sentence that says it all. */
  readonly lead: string;
  readonly blocks: readonly LetterBlock[];
  /** A person may put a hand to the machine after reading it: the standing words about the manual belong below. */
  readonly isWork: boolean;
}

/** The machine of a notice; null for a notice about none, and for one that is no longer configured.
 *  Source: common practice, no source. */
export function machineOf(notice: Notice, context: LetterContext): Machine | null {
  return context.home.machines.find((machine) => machine.id === notice.machine) ?? null;
}

/** The visit of a notice, with the day the notice names; null where it has none or it is no longer planned.
 *  Source: common practice, no source. */
export function visitOf(notice: Notice, context: LetterContext): Visit | null {
  const visit = context.outlook.visits.find((one) => one.id === notice.visit);
  return visit === undefined ? null : { ...visit, day: notice.proposedDay ?? visit.day };
}

/** What the outlook says of a machine; null where it says nothing.
 *  Source: common practice, no source. */
export function outlookOf(machine: Machine, context: LetterContext): MachineOutlook | null {
  return context.outlook.machines.find((one) => one.machine === machine.id) ?? null;
}

/** When a task of a machine comes due; null where the forecast has no entry.
 *  Source: common practice, no source. */
export function dueOf(machine: Machine, task: string, context: LetterContext): Due | null {
  return outlookOf(machine, context)?.dues.find((due) => due.task === task) ?? null;
}

/** A sentence of what was computed, on one line and with its days said.
 *  Source: own design. */
export function daysSaid(sentence: string, context: LetterContext): string {
  return sayDaysIn(oneLine(sentence), context.outlook.today, context.home.household.locale);
}
