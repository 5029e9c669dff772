import { expect, test } from 'vitest';
import { isPublicName } from './public-name.js';

test.each(['push.example.org', 'Shed.Example.net', 'a.b.example.com.', 'xn--bcher-kva.example'])(
  '%s can be a computer anywhere',
  (host) => expect(isPublicName(host)).toBe(true),
);

test.each([
  '',
  '.',
  'shed',
  'localhost',
  'app.localhost',
  'shed.local',
  'SHED.LOCAL.',
  'shed.lan',
  'nas.home.arpa',
  'metadata.internal',
  '127.0.0.1',
  '192.168.1.20',
  '203.0.113.7',
  '10.1',
  '0x7f.1',
  '[::1]',
  '[fd00::1]',
  'two words.example.org',
  `${'a'.repeat(64)}.example.org`,
])('%j is of one network only, or of none', (host) => expect(isPublicName(host)).toBe(false));
