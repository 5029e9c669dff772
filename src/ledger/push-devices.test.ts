import { createECDH, randomBytes } from 'node:crypto';
import { expect, test } from 'vitest';
import { stageBooks, stagedHome } from '../../tests/stage/ledger-books.js';
import { mostDevices } from '../domain/push-device.js';
import { devicesThatHave, dropPushDevice, enterPushDevice, notePush, pushDevices } from './push-devices.js';

const [first = { id: '' }] = stagedHome.household.people;

function subscription(n = 1) {
  const p256dh = createECDH('prime256v1').generateKeys('base64url');
  return { endpoint: `https://push.example.net/${n}`, p256dh, auth: randomBytes(16).toString('base64url') };
}

test('a browser that asks again stays one device, with its newest keys, and its refusals are forgotten', () => {
  const books = stageBooks();
  enterPushDevice(books, first.id, subscription());
  const [before] = pushDevices(books);
  if (before === undefined) throw new Error('no device was kept');
  notePush(books, 'letter-1', before, { kind: 'refused', reason: '403' });
  expect(pushDevices(books)).toMatchObject([{ refusals: 1, lastWord: '403' }]);
  const renewed = subscription();
  enterPushDevice(books, first.id, renewed);
  expect(pushDevices(books)).toEqual([{ ...before, ...renewed, refusals: 0, lastWord: null }]);
});

test('asking again with nothing new writes nothing, and no device changes the version of the facts', () => {
  const books = stageBooks();
  const version = books.store.dataVersion();
  const same = subscription();
  enterPushDevice(books, first.id, same);
  enterPushDevice(books, first.id, same);
  expect(pushDevices(books)).toHaveLength(1);
  expect(books.store.dataVersion()).toBe(version);
});

test('what cannot be used, or is for nobody here, is refused with the reason and not kept', () => {
  const books = stageBooks();
  const local = { ...subscription(), endpoint: 'https://router.lan/admin' };
  for (const [person, what, code] of [
    [first.id, local, 'device-unfit'],
    ['nobody', subscription(), 'person-unknown'],
  ] as const) {
    const outcome = enterPushDevice(books, person, what);
    expect(outcome.kind === 'refused' && outcome.fault.code).toBe(code);
  }
  expect(pushDevices(books)).toEqual([]);
});

test('a person has so many devices and no more; one taken away makes room', () => {
  const books = stageBooks();
  for (let n = 1; n <= mostDevices; n += 1) enterPushDevice(books, first.id, subscription(n));
  const more = enterPushDevice(books, first.id, subscription(99));
  expect(more.kind === 'refused' && more.fault.code).toBe('too-many-devices');
  expect(enterPushDevice(books, first.id, subscription(1)).kind).toBe('entered');
  dropPushDevice(books, pushDevices(books)[0]?.id ?? '');
  expect(enterPushDevice(books, first.id, subscription(99)).kind).toBe('entered');
  expect(pushDevices(books)).toHaveLength(mostDevices);
});

test('a test message, which is in no outbox, leaves no trace but mends the device’s record', () => {
  const books = stageBooks();
  enterPushDevice(books, first.id, subscription());
  const [device] = pushDevices(books);
  if (device === undefined) throw new Error('no device was kept');
  notePush(books, 'test-1', device, { kind: 'refused', reason: '403' });
  notePush(books, 'test-1', device, { kind: 'taken' });
  expect(devicesThatHave(books, 'test-1')).toEqual([]);
  expect(pushDevices(books)).toMatchObject([{ refusals: 0, lastWord: null }]);
});

test('what the push service calls gone is taken away', () => {
  const books = stageBooks();
  enterPushDevice(books, first.id, subscription());
  const [device] = pushDevices(books);
  if (device === undefined) throw new Error('no device was kept');
  notePush(books, 'letter-1', device, { kind: 'gone' });
  expect(pushDevices(books)).toEqual([]);
});
