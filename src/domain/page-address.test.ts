import { expect, test } from 'vitest';
import { addressFromOutside } from './page-address.js';

test.each([
  ['https://shed.example.org', 'https://shed.example.org'],
  ['https://shed.example.org:8443/', 'https://shed.example.org:8443'],
  ['https://example.org/shed//', 'https://example.org/shed'],
  ['HTTPS://Shed.Example.org', 'HTTPS://Shed.Example.org'],
])('%s can be reached from outside', (address, base) => expect(addressFromOutside({ address })).toBe(base));

test.each([
  'http://shed.example.org',
  'https://localhost',
  'https://shed',
  'https://shed.local',
  'https://shed.lan:8377',
  'https://shed.home.arpa',
  'https://shed.internal',
  'https://192.168.1.20',
  'https://169.254.3.4',
  'https://10.0.0.7:8443',
  'https://[fe80::1]',
  'https://[fd00::1]:8377',
  'https://2130706433',
  'no address',
])('%s cannot', (address) => expect(addressFromOutside({ address })).toBeNull());

test('no address cannot either', () => expect(addressFromOutside({})).toBeNull());
