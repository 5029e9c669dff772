import { dayMs } from '../domain/day.js';
import {
  dropOldSheetMarks,
  keepSheetMark,
  pullBackSheetMarks,
  sheetClosedAtMs,
  sheetMarksOf,
} from '../store/facts/sheet-marks.js';
import type { Books } from './books.js';

/** An open sheet is forgotten after so many days, here as on the devices. */
const keptDays = 30;
/** More fields than the longest sheet has. */
const mostFields = 1000;

/** A field as a device tells it. */
interface TouchedField {
  readonly field: string;
  readonly value: string | boolean;
  /** How long ago it was touched, ms, >= 0: the clocks of devices differ, the time that passed does not. */
  readonly agoMs: number;
}

/** What all devices touched on a sheet. */
interface SharedSheet {
  readonly touched: readonly TouchedField[];
  /** How long ago it was confirmed, ms; what was touched before then belongs to that record. Null: not confirmed, or long ago. */
  readonly closedAgoMs: number | null;
}

/** Takes in what was touched on one device and gives what all devices of the household touched on this sheet: of each field the
 *  latest. Nothing here is a record; the sheet becomes one when it is confirmed, and what was touched before then is forgotten.
 *  @param visit    id of the visit
 *  @param touched  a field that a newer word is kept of changes nothing; beyond 1,000 fields of a sheet no new one is taken, nor one
 *  touched longer ago than it would be kept, as by a device whose clock was set right since
 *  @returns  every field touched within 30 days, each with how long ago, ms */
export function mergeSheet(books: Books, visit: string, touched: readonly TouchedField[]): SharedSheet {
  const { store, clock } = books;
  const nowMs = clock.nowMs();
  const oldestMs = nowMs - keptDays * dayMs;
  pullBackSheetMarks(store, visit, nowMs);
  const closedAtMs = sheetClosedAtMs(store, visit);
  const open = touched.filter(
    ({ agoMs }) => nowMs - agoMs >= oldestMs && (closedAtMs === null || nowMs - agoMs > closedAtMs),
  );
  if (open.length > 0) {
    store.mark(() => {
      dropOldSheetMarks(store, oldestMs);
      const known = new Set(sheetMarksOf(store, visit).map(({ field }) => field));
      for (const { field, value, agoMs } of open) {
        if (!known.has(field) && known.size >= mostFields) continue;
        known.add(field);
        keepSheetMark(store, visit, { field, value, atMs: nowMs - agoMs });
      }
    });
  }
  return {
    touched: sheetMarksOf(store, visit)
      .filter(({ atMs }) => atMs >= oldestMs)
      .map(({ field, value, atMs }) => ({ field, value, agoMs: Math.max(0, nowMs - atMs) })),
    closedAgoMs: closedAtMs === null || closedAtMs < oldestMs ? null : Math.max(0, nowMs - closedAtMs),
  };
}
