import { statSync } from 'node:fs';
import { dayOf, daysBetween, hourMs } from '../domain/day.js';
import type { Log } from '../domain/outside.js';
import type { Books } from '../ledger/books.js';
import { isDamage, whyDamaged } from '../store/whole.js';
import { type DamageWords, sayDamage, sayDamageShort, writeDamageLetter } from '../words/damage.js';
import { hourOfNight } from './backup.js';
import { copiesFolders, datedCopy, newestCopy } from './copies.js';
import { tellPastData } from './tell-past-data.js';
import { devicesIn } from './ways-past-data.js';

/** Watches over the data file while the service runs. */
export interface DataWatch {
  /** In the night after a week, every page of the file is looked at. Tells of damage, by ways that need no data. */
  look(): Promise<void>;
  /** Takes note of what was thrown elsewhere, where it says that this file is damaged. */
  met(failure: unknown): void;
  /** What is wrong and how it is mended; null where the file is whole as far as is known. */
  damage(): DamageWords | null;
  /** Plain sentences; empty where all is well. */
  problems(): readonly string[];
}

/** A start looks at the file as well, so a week is long enough for a page that nobody reads. Common practice, no source. */
const everyNights = 7;
/** For a transaction under way. */
const waitMs = 5000;

/** @param homeDir  where the file and its backups are; the file was whole a moment ago, when the store was opened */
export function watchData(books: Books, homeDir: string, log: Log): DataWatch {
  const { file } = books.store;
  const household = () => books.home().household;
  let lookedMs = books.clock.nowMs();
  let damage: { readonly words: DamageWords; readonly copy: string | null } | null = null;
  const teller = tellPastData('data-file', {
    homeDir,
    household,
    devices: () => devicesIn(damage?.copy ?? null),
    clock: books.clock,
    log,
  });
  // What was told about an earlier damage is over: this file is whole.
  teller.over();

  const note = (found: string) => {
    if (damage !== null) return;
    const { zone, locale } = household();
    const copies = copiesFolders(homeDir, household());
    const copy = newestCopy(...copies);
    const words = sayDamage(
      {
        file,
        found,
        copy: datedCopy(copy, zone),
        copies: copies.join(' and '),
        home: homeDir,
        standsStill: false,
      },
      dayOf(books.clock.nowMs(), zone),
      locale,
    );
    damage = { words, copy: copy?.file ?? null };
    log.error({ file, found, restore: words.command }, words.lead);
  };
  const isDue = () => {
    const night = (atMs: number) => dayOf(atMs - hourOfNight * hourMs, household().zone);
    const nights = daysBetween(night(lookedMs), night(books.clock.nowMs()));
    // A clock that was set back would put the next look off for as long.
    return nights >= everyNights || nights < 0;
  };

  return {
    async look() {
      if (damage === null && isGone(file)) note('the file was taken away while the service runs');
      if (damage === null && isDue()) {
        lookedMs = books.clock.nowMs();
        try {
          const found = whyDamaged(file, waitMs);
          if (found === null) log.info({ file }, 'every page of the data file was looked at and is sound');
          else note(found);
        } catch (failure) {
          log.warn({ failure: String(failure) }, 'the data file could not be looked at');
        }
      }
      if (damage !== null) await teller.tell(writeDamageLetter(damage.words, household().name));
    },
    met(failure) {
      if (isDamage(failure) && failure.place === file) note(failure.found ?? failure.message);
    },
    damage: () => damage?.words ?? null,
    problems: () => (damage === null ? [] : [sayDamageShort(damage.words)]),
  };
}

/** Whether no file is there. A disk that does not answer is none of that. */
function isGone(file: string): boolean {
  try {
    return statSync(file, { throwIfNoEntry: false }) === undefined;
  } catch {
    return false;
  }
}
