import type { ChannelKind, Household, NoticeKind } from '../domain/household.js';
import { mailIll } from '../domain/ill.js';
import type { Notice } from '../domain/results/notice.js';

/** Which ways out a message takes, the one that carries it first. A person who names ways is told by those that name one of the kinds
 *  in the message; anybody else by mail, and on every device that asked to be told. What cannot be at present (no address, no
 *  device, no broker) is left out; where nothing is left, mail, a device or a file stands in, so that nothing is lost. In a household
 *  without a mail server a device or a file stands in for the mail also beside the broker.
 *  @param can  whether a device of the person asked to be told; whether the person asked for no more mail: then a file stands in */
export function waysOf(
  household: Household,
  to: string,
  notices: readonly Pick<Notice, 'kind' | 'tasks'>[],
  can: { readonly hasDevice: boolean; readonly noMail: boolean },
): readonly [ChannelKind, ...ChannelKind[]] {
  const person = household.people.find((one) => one.id === to);
  // Word that mail does not get through goes another way: to a device, or where it can be seen, to the page and the outbox folder.
  const isAboutMail = notices.some((notice) => notice.kind === 'trouble' && notice.tasks.includes(mailIll));
  const hasMail = household.smtp !== undefined && person?.mail !== undefined && !isAboutMail && !can.noMail;
  const isWanted = (way: 'mail' | 'push' | 'topic') => {
    const kinds: readonly NoticeKind[] | undefined = person?.ways?.[way];
    if (person?.ways === undefined) return way !== 'topic';
    return kinds !== undefined && notices.some((notice) => kinds.includes(notice.kind));
  };
  const ways: ChannelKind[] = [];
  if (hasMail && isWanted('mail')) ways.push('mail');
  if (can.hasDevice && isWanted('push')) ways.push('push');
  // Without a mail server files are the mail: word on the broker bears no link, so that it alone would leave nothing to tap.
  const isMailKept = household.smtp === undefined && !can.noMail && person?.ways !== undefined && isWanted('mail');
  if (ways.length === 0 && isMailKept) ways.push(can.hasDevice ? 'push' : 'file');
  if (household.mqtt !== undefined && isWanted('topic')) ways.push('topic');
  const [first, ...more] = ways;
  // Somebody who named mail alone still hears on a device what cannot go by mail.
  if (first === undefined) return [hasMail ? 'mail' : can.hasDevice ? 'push' : 'file'];
  return [first, ...more];
}
