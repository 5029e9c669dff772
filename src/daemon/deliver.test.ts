import { expect, it } from 'vitest';
import {
  stageBooks,
  stagedHome,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { noLog } from '../../tests/stage/no-log.js';
import type { Channel } from '../channels/channel.js';
import type { ChannelKind } from '../domain/household.js';
import type { Delivery } from '../domain/results/envelope.js';
import { allLetters } from '../ledger/outbox.js';
import { postLetters } from '../ledger/post.js';
import { enterPushDevice, notePush } from '../ledger/push-devices.js';
import { deliver } from './deliver.js';

const visit = stageVisit('meadow-mower-blades-1', ['blades']);
const later: Delivery = { kind: 'try-later', reason: '503 asleep', afterMs: null };
const taken: Delivery = { kind: 'delivered', detail: '250 ok' };

function way(kind: ChannelKind, answer: () => Delivery) {
  const went: string[] = [];
  const channel: Channel = {
    kind,
    deliver: async ({ messageId }) => {
      went.push(messageId);
      return answer();
    },
  };
  return { channel, went };
}

it('a letter whose attempt could not be written down is neither lost nor sent again', async () => {
  const books = stageBooks();
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  const { channel, went } = way('file', () => taken);
  const unnoted = new Map<string, Delivery>();
  let marks = 0;
  const failing = {
    ...books,
    store: Object.assign(Object.create(books.store), {
      mark: <T>(action: () => T) => {
        marks += 1;
        if (marks === 2) throw new Error('the disk is full');
        return books.store.mark(action);
      },
    }),
  };
  await expect(deliver(failing, [channel], noLog, undefined, unnoted)).rejects.toThrow('disk is full');
  expect(allLetters(books)).toMatchObject([{ state: 'sending' }]);
  await deliver(books, [channel], noLog, undefined, unnoted);
  expect(allLetters(books)).toMatchObject([{ state: 'delivered', attempts: 1 }]);
  expect(went).toHaveLength(1);
});

it.each([
  ['none could be reached', false],
  ['one of two could', true],
])(
  'a person who is told on devices alone: after hours in which %s, mail follows only where nothing arrived',
  async (_what, oneHasIt) => {
    const [first] = stagedHome.household.people;
    if (first === undefined) throw new Error('the stage has nobody');
    const smtp = { host: 'mail.example.org', port: 587, security: 'starttls', from: 'shed@example.org' } as const;
    const people = [{ ...first, mail: 'ines@example.org', ways: { push: ['work'] as const } }];
    const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
    const entered = enterPushDevice(books, first.id, {
      endpoint: 'https://push.example.org/a',
      p256dh: `B${'A'.repeat(86)}`,
      auth: 'A'.repeat(22),
    });
    postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
    if (oneHasIt && entered.kind === 'entered') notePush(books, 'letter-1', entered.device, { kind: 'taken' });
    const push = way('push', () => later);
    const mail = way('mail', () => taken);
    for (let hour = 0; hour < 24; hour++) {
      books.setNow(`2031-04-05T${String(hour).padStart(2, '0')}:59`);
      await deliver(books, [push.channel, mail.channel], noLog);
    }
    expect(push.went.length).toBeGreaterThan(3);
    expect(mail.went).toEqual(oneHasIt ? [] : [push.went[0]]);
    expect(allLetters(books)).toMatchObject([{ channel: 'push', state: 'delivered' }]);
  },
);

it.each([
  ['mail alone', { mail: ['work'] as const }, 1],
  ['mail and devices', undefined, 1],
])(
  'what the mail server will not take is told once on the devices of a person told by %s',
  async (_what, ways, told) => {
    const [first] = stagedHome.household.people;
    if (first === undefined) throw new Error('the stage has nobody');
    const smtp = { host: 'mail.example.org', port: 587, security: 'starttls', from: 'shed@example.org' } as const;
    const people = [{ ...first, mail: 'ines@example.org', ...(ways === undefined ? {} : { ways }) }];
    const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
    const p256dh = `B${'A'.repeat(86)}`;
    enterPushDevice(books, first.id, { endpoint: 'https://push.example.org/a', p256dh, auth: 'A'.repeat(22) });
    postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
    const mail = way('mail', () => ({ kind: 'refused', reason: '550 no such user' }));
    const push = way('push', () => taken);
    await deliver(books, [mail.channel, push.channel], noLog);
    expect(mail.went).toHaveLength(1);
    expect(push.went).toHaveLength(told);
    expect(allLetters(books)[0]?.state).toBe(ways === undefined ? 'refused' : 'delivered');
  },
);

it('a letter that neither mail nor a device takes is refused with what the mail server said', async () => {
  const [first] = stagedHome.household.people;
  if (first === undefined) throw new Error('the stage has nobody');
  const smtp = { host: 'mail.example.org', port: 587, security: 'starttls', from: 'shed@example.org' } as const;
  const people = [{ ...first, mail: 'ines@example.org', ways: { mail: ['work'] as const } }];
  const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
  const p256dh = `B${'A'.repeat(86)}`;
  enterPushDevice(books, first.id, { endpoint: 'https://push.example.org/a', p256dh, auth: 'A'.repeat(22) });
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  const mail = way('mail', () => ({ kind: 'refused', reason: '550 no such user' }));
  const push = way('push', () => later);
  await deliver(books, [mail.channel, push.channel], noLog);
  expect(allLetters(books)).toMatchObject([{ state: 'refused', lastWord: '550 no such user' }]);
});

it('a person who is told on the broker alone: after hours in which it is away, mail stands in, once', async () => {
  const [first] = stagedHome.household.people;
  if (first === undefined) throw new Error('the stage has nobody');
  const smtp = { host: 'mail.example.org', port: 587, security: 'starttls', from: 'shed@example.org' } as const;
  const mqtt = { url: 'mqtt://localhost:1883', protocol: '5' } as const;
  const people = [{ ...first, mail: 'ines@example.org', ways: { topic: ['work'] as const } }];
  const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, mqtt, people } } });
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  const topic = way('topic', () => later);
  const mail = way('mail', () => taken);
  for (let hour = 10; hour < 24; hour++) {
    books.setNow(`2031-04-05T${hour}:59`);
    await deliver(books, [topic.channel, mail.channel], noLog);
  }
  expect(topic.went.length).toBeGreaterThan(3);
  expect(mail.went).toHaveLength(1);
  expect(allLetters(books)).toMatchObject([{ channel: 'topic', state: 'delivered' }]);
});
