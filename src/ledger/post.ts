import { dayOf } from '../domain/day.js';
import type { ChannelKind, Person } from '../domain/household.js';
import type { Letter } from '../domain/results/letter.js';
import type { Message, Notice } from '../domain/results/notice.js';
import type { Outlook } from '../domain/results/outlook.js';
import { addNotice, wasSaid } from '../store/facts/notices.js';
import { addLetter } from '../store/facts/outbox.js';
import { announceVisit, dropStaleVisits, isSettled } from './announce.js';
import type { Books } from './books.js';
import { installId } from './install-id.js';
import { wantsNoMail } from './mail-ended.js';
import { pushDevices } from './push-devices.js';
import { followsWhat } from './thread.js';
import { waysOf } from './ways.js';

/** What a posting did. */
export interface Posted {
  /** Ids of the letters that wait in the outbox now. */
  readonly letters: readonly string[];
  /** Messages all of whose notices had been said before, or whose visits are settled. */
  readonly skipped: number;
}

/** Writes letters to the outbox before anything is sent, in one transaction: the letters, their notices, and the visits they
 *  announce (a new revision where tasks or day changed). Nothing is said twice: a notice of the same visit, kind, proposed day
 *  and person (for parts also of the same tasks: what came to the visit since needs its own), or of the same machine, kind, day
 *  and person, is left out, and a message of which nothing is left is skipped. Two people with one address get one letter there. */
export function postLetters(
  books: Books,
  outlook: Outlook,
  letters: readonly { readonly message: Message; readonly letter: Letter }[],
): Posted {
  const { store } = books;
  const install = installId(books);
  return store.write(() => {
    const saying = new Set<string>();
    const isNews = (notice: Notice) => {
      const once = onceOf(books, notice);
      if (saying.has(once) || wasSaid(store, once) || isSettled(books, notice.visit)) return false;
      saying.add(once);
      return true;
    };
    const unsaid = letters.flatMap(({ message, letter }): Unsaid[] => {
      const notices = message.notices.filter(isNews);
      return notices.length === 0
        ? []
        : [{ to: message.to, notices, letter, ways: waysTo(books, message.to, notices) }];
    });
    const shared = sharedMail(unsaid, books.home().household.people);
    const posted = new Map<Unsaid, string>();
    // Whoever gets another's letter comes after it.
    for (const one of [...unsaid.filter((each) => !shared.has(each)), ...shared.keys()]) {
      const carrier = posted.get(shared.get(one) ?? one);
      const [first, ...more] = one.ways.filter((way) => carrier === undefined || way !== 'mail');
      const id = first === undefined ? carrier : postLetter(books, one, [first, ...more], install);
      if (id === undefined) continue;
      posted.set(one, id);
      noteNotices(books, outlook, one, id);
    }
    dropStaleVisits(books, outlook);
    return { letters: [...new Set(posted.values())], skipped: letters.length - unsaid.length };
  });
}

/** What one person is to be told and was not told yet. */
interface Unsaid {
  readonly to: string;
  readonly notices: readonly Notice[];
  readonly letter: Letter;
  readonly ways: readonly ChannelKind[];
}

function waysTo(books: Books, person: string, notices: readonly Notice[]): readonly ChannelKind[] {
  const hasDevice = pushDevices(books).some((device) => device.person === person);
  return waysOf(books.home().household, person, notices, { hasDevice, noMail: wantsNoMail(books, person) });
}

/** Whose mail another person's letter stands for: the two have one address, and that letter says all that this one would. The
 *  letter that says most carries the others; of equal ones that of whoever stands first. */
function sharedMail(all: readonly Unsaid[], people: readonly Person[]): ReadonlyMap<Unsaid, Unsaid> {
  const addressOf = (one: Unsaid) =>
    one.ways.includes('mail') ? people.find(({ id }) => id === one.to)?.mail?.toLowerCase() : undefined;
  const saying = (notice: Notice) =>
    JSON.stringify([notice.kind, notice.machine, notice.visit, [...notice.tasks].sort(), notice.proposedDay]);
  const longestFirst = [...all].sort((a, b) => b.notices.length - a.notices.length);
  return new Map(
    all.flatMap((one): [Unsaid, Unsaid][] => {
      const address = addressOf(one);
      const carrier = longestFirst.find(
        (other) =>
          address !== undefined &&
          addressOf(other) === address &&
          one.notices.every((notice) => other.notices.some((each) => saying(each) === saying(notice))),
      );
      return carrier === undefined || carrier === one ? [] : [[one, carrier]];
    }),
  );
}

function postLetter(
  books: Books,
  { to, notices, letter }: Unsaid,
  [channel, ...more]: readonly [ChannelKind, ...ChannelKind[]],
  install: string,
): string {
  const { store } = books;
  const nowMs = books.clock.nowMs();
  const id = store.newId('letter');
  const { inReplyTo, references: earlier } = followsWhat(books, notices[0]);
  // A restored copy gives the same numbers again, so the time is part of it.
  const messageIdOf = (one: string) => `<${one}.${nowMs.toString(36)}@${install}.shedbell.invalid>`;
  const messageId = messageIdOf(id);
  const same = { to, letter, writtenAtMs: nowMs };
  addLetter(store, {
    ...same,
    id,
    messageId,
    channel,
    inReplyTo,
    references: earlier,
    copyOf: null,
  });
  for (const further of more) {
    const copy = store.newId('letter');
    const references = [...earlier, messageId];
    const how = { messageId: messageIdOf(copy), channel: further, inReplyTo: messageId, references, copyOf: id };
    addLetter(store, { ...same, id: copy, ...how });
  }
  return id;
}

function noteNotices(books: Books, outlook: Outlook, { to, notices }: Unsaid, letter: string): void {
  const { store } = books;
  for (const notice of notices) {
    if (notice.visit !== null) announceVisit(books, outlook, notice.visit, notice);
    addNotice(store, {
      id: store.newId('notice'),
      message: letter,
      kind: notice.kind,
      machine: notice.machine,
      visit: notice.visit,
      tasks: notice.tasks,
      to,
      atMs: books.clock.nowMs(),
      proposedDay: notice.proposedDay,
      because: notice.because,
      once: onceOf(books, notice),
    });
  }
}

function onceOf(books: Books, notice: Notice): string {
  const today = dayOf(books.clock.nowMs(), books.home().household.zone);
  // A question about the hours is about the machine now, whatever visit it is for: it may come again for the same day.
  if (notice.visit === null || notice.kind === 'reading') {
    return JSON.stringify([notice.machine, notice.kind, today, notice.to]);
  }
  const once = [notice.visit, notice.kind, notice.proposedDay ?? today, notice.to];
  return JSON.stringify(notice.kind === 'parts' ? [...once, [...notice.tasks].sort()] : once);
}
