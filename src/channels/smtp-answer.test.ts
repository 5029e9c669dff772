import { expect, test } from 'vitest';
import { readFailure, withoutSecrets } from './smtp-answer.js';

const read = (failure: object) =>
  readFailure(Object.assign(new Error('it broke'), failure), 'mail.example.org', ['hunter two']);

// RFC 5321 section 4.2.1: the first digit says whether it is worth trying again.
test.each([
  [{ responseCode: 421, response: '421 busy' }, 'try-later'],
  [{ responseCode: 450, response: '450 mailbox busy' }, 'try-later'],
  [{ responseCode: 550, response: '550 no such mailbox' }, 'refused'],
  [{ responseCode: 552, response: '552 too much' }, 'refused'],
  [{ code: 'ESOCKET' }, 'try-later'],
  [{ code: 'EDNS' }, 'try-later'],
  [{ code: 'EAUTH', responseCode: 535, response: '535 no' }, 'try-later'],
  [{ code: 'EENVELOPE', responseCode: 530, response: '530 log in first', command: 'MAIL FROM' }, 'try-later'],
  [{ code: 'EPROTOCOL', responseCode: 550, response: '550 who are you', command: 'HELO' }, 'try-later'],
])('%j means %s', (failure, kind) => {
  expect(read(failure).kind).toBe(kind);
});

test.each([
  ['connect ECONNREFUSED 192.0.2.7:2525', 'it takes no mail on port 2525 (ECONNREFUSED)'],
  ['connect ECONNREFUSED 2001:db8::1:587', 'it takes no mail on port 587 (ECONNREFUSED)'],
  ['getaddrinfo ENOTFOUND mail.example.org', 'no computer of that name is known (ENOTFOUND)'],
  ['queryA EAI_AGAIN mail.example.org', 'its name cannot be looked up at present (EAI_AGAIN)'],
  ['connect EHOSTUNREACH 192.0.2.7:25 - Local (192.0.2.9:41002)', 'no way leads to it from here (EHOSTUNREACH)'],
  ['something new', 'something new'],
])('“%s” is told in words', (message, said) => {
  const told = readFailure(Object.assign(new Error(message), { code: 'ESOCKET' }), 'mail.example.org', []);
  expect(told).toEqual({
    kind: 'try-later',
    reason: `mail.example.org could not be reached: ${said}`,
    afterMs: null,
  });
});

test('a failure that is no error at all still means to try later', () => {
  for (const odd of [null, undefined, 'text', 7])
    expect(readFailure(odd, 'mail.example.org', [])).toMatchObject({ kind: 'try-later' });
});

test('a secret is blotted out, plain and as base64 (RFC 4648) would carry it', () => {
  const base64 = Buffer.from('hunter two').toString('base64');
  const said = withoutSecrets(`535 hunter two ${base64}\r\nmore`, ['hunter two', '']);
  expect(said).toBe('535 ••• ••• more');
});

test('a long answer is cut', () => {
  expect(withoutSecrets('x'.repeat(1000), [])).toHaveLength(301);
});
