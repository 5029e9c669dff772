import { dayOf } from '../domain/day.js';
import type { Letter } from '../domain/results/letter.js';
import type { Message, Notice } from '../domain/results/notice.js';
import type { Outlook } from '../domain/results/outlook.js';
import { addNotice, wasSaid } from '../store/facts/notices.js';
import { addLetter, earlierMessageIds } from '../store/facts/outbox.js';
import { announceVisit, dropStaleVisits, isSettled } from './announce.js';
import type { Books } from './books.js';
import { installId } from './install-id.js';
import { wantsNoMail } from './mail-ended.js';
import { pushDevices } from './push-devices.js';
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
 *  and person, is left out, and a message of which nothing is left is skipped. */
export function postLetters(
  books: Books,
  outlook: Outlook,
  letters: readonly { readonly message: Message; readonly letter: Letter }[],
): Posted {
  const { store } = books;
  const install = installId(books);
  return store.write(() => {
    const posted: string[] = [];
    for (const { message, letter } of letters) {
      const fresh = message.notices.filter((n) => !wasSaid(store, onceOf(books, n)) && !isSettled(books, n.visit));
      if (fresh.length > 0) posted.push(postOne(books, outlook, message, fresh, letter, install));
    }
    dropStaleVisits(books, outlook);
    return { letters: posted, skipped: letters.length - posted.length };
  });
}

function postOne(
  books: Books,
  outlook: Outlook,
  message: Message,
  notices: readonly Notice[],
  letter: Letter,
  install: string,
): string {
  const { store } = books;
  const nowMs = books.clock.nowMs();
  const id = store.newId('letter');
  const visits = [...new Set(notices.flatMap((n) => (n.visit === null ? [] : [n.visit])))];
  const earlier =
    visits.map((visit) => earlierMessageIds(store, visit, message.to)).find((ids) => ids.length > 0) ?? [];
  // A restored copy gives the same numbers again, so the time is part of it.
  const messageIdOf = (one: string) => `<${one}.${nowMs.toString(36)}@${install}.shedbell.invalid>`;
  const hasDevice = pushDevices(books).some((device) => device.person === message.to);
  const can = { hasDevice, noMail: wantsNoMail(books, message.to) };
  const [channel, ...more] = waysOf(books.home().household, message.to, notices, can);
  const messageId = messageIdOf(id);
  const same = { to: message.to, letter, writtenAtMs: nowMs };
  addLetter(store, {
    ...same,
    id,
    messageId,
    channel,
    inReplyTo: earlier.at(-1) ?? null,
    references: earlier,
    copyOf: null,
  });
  for (const further of more) {
    const copy = store.newId('letter');
    const references = [...earlier, messageId];
    const how = { messageId: messageIdOf(copy), channel: further, inReplyTo: messageId, references, copyOf: id };
    addLetter(store, { ...same, id: copy, ...how });
  }
  for (const notice of notices) {
    if (notice.visit !== null) announceVisit(books, outlook, notice.visit, notice);
    addNotice(store, {
      id: store.newId('notice'),
      message: id,
      kind: notice.kind,
      machine: notice.machine,
      visit: notice.visit,
      tasks: notice.tasks,
      to: message.to,
      atMs: nowMs,
      proposedDay: notice.proposedDay,
      because: notice.because,
      once: onceOf(books, notice),
    });
  }
  return id;
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
