import { describe, expect, it } from 'vitest';
import { isLoopback, sayReach } from './addresses.js';

const at = (address: string | undefined, host = '0.0.0.0', port = 8377) =>
  sayReach({ ...(address === undefined ? {} : { address }), http: { host, port } })[0];

describe('whether a link opens on a phone', () => {
  it('says that links open here only without an address', () => {
    expect(at(undefined)).toBe(
      'Links in messages open on this computer only (http://localhost:8377): household.yaml has no address:.',
    );
  });

  it('says the same for an address of this computer itself', () => {
    expect(at('http://localhost:8377')).toMatch(/open on this computer only: address: names this computer itself/);
    expect(at('http://127.0.0.1:8377')).toMatch(/open on this computer only/);
    expect(at('http://[::1]:8377')).toMatch(/open on this computer only/);
  });

  it('says that a page listening on this computer only cannot be reached', () => {
    expect(at('http://shed.local:8377', '127.0.0.1')).toBe(
      'Links in messages will not open on a phone: address: is http://shed.local:8377, but http: host: is 127.0.0.1, which only this computer can reach.',
    );
  });

  it('says that an address without its port leads elsewhere', () => {
    expect(at('http://shed.local')).toMatch(
      /will probably not open on a phone: .* has no port, but the page listens on port 8377/,
    );
    expect(at('http://shed.local:9000')).toMatch(/has port 9000, but the page listens on port 8377/);
    expect(at('http://shed.local', '0.0.0.0', 80)).toMatch(/^Links in messages open at/);
  });

  it('says that the page itself speaks no https', () => {
    expect(at('https://shed.local:8377')).toMatch(/begins with https, but the page itself speaks http/);
  });

  it('says what a proxy on this computer has to do, where there may be one', () => {
    const through = (address: string, host: string, askHere?: boolean) =>
      sayReach({ address, http: { host, port: 8377, ...(askHere === undefined ? {} : { askHere }) } }).at(-1);
    for (const [address, host] of [
      ['http://shed.local:8377', '127.0.0.1'],
      ['https://shed.example.org', '0.0.0.0'],
      ['https://shed.example.org:8377', '0.0.0.0'],
    ] as const) {
      expect(through(address, host)).toContain('write http: { askHere: true }');
      expect(through(address, host, true)).toBe(
        'Whoever comes through a proxy is asked for the password, and so is this computer itself (http: askHere).',
      );
    }
    expect(through('http://shed.local:8377', '0.0.0.0')).not.toContain('proxy');
  });

  it('says where links open when all is well', () => {
    expect(at('http://shed.local:8377')).toBe(
      'Links in messages open at http://shed.local:8377 on every device of your network that reaches this computer by that name.',
    );
  });
});

// RFC 1122 section 3.2.1.3 (127/8), RFC 4291 section 2.5.3 (::1), RFC 6761 section 6.3 (localhost).
it('knows the addresses by which a computer means itself', () => {
  expect(['127.0.0.1', '127.3.2.1', '::1', '[::1]', 'localhost', 'LOCALHOST', 'shed.localhost'].every(isLoopback)).toBe(
    true,
  );
  expect(['192.168.1.20', '0.0.0.0', '::', 'shed.local', '128.0.0.1', 'localhost.example.org'].some(isLoopback)).toBe(
    false,
  );
});
