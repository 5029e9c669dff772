import { expect, it } from 'vitest';
import { sign } from '../../src/ledger/permit.js';

/** Key, data and HMAC-SHA-256, all hexadecimal, of which links carry the first 128 bits.
 *  Source: RFC 4231 (2005), sections 4.2 to 4.8; case 5 is published truncated to 128 bits.
 *  Cases 3 and 4 sign bytes that are no text; links only ever sign text. */
const cases: readonly (readonly [number, string, string, string])[] = [
  [1, '0b'.repeat(20), '4869205468657265', 'b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7'],
  [
    2,
    '4a656665',
    '7768617420646f2079612077616e7420666f72206e6f7468696e673f',
    '5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843',
  ],
  [5, '0c'.repeat(20), '546573742057697468205472756e636174696f6e', 'a3b6167473100ee06e0c796c2955552b'],
  [
    6,
    'aa'.repeat(131),
    '54657374205573696e67204c6172676572205468616e20426c6f636b2d53697a65204b6579202d2048617368204b6579204669727374',
    '60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54',
  ],
  [
    7,
    'aa'.repeat(131),
    '5468697320697320612074657374207573696e672061206c6172676572207468616e20626c6f636b2d73697a65206b657920616e642061206c6172676572207468616e20626c6f636b2d73697a6520646174612e20546865206b6579206e6565647320746f20626520686173686564206265666f7265206265696e6720757365642062792074686520484d414320616c676f726974686d2e',
    '9b09ffa71b942fcb27635fbcd5b0e944bfdc63644f0713938a7f51535c3a35e2',
  ],
];
it.each(cases)('RFC 4231 test case %i: the signature of a link is the HMAC cut to 128 bits', (_n, key, data, mac) => {
  const text = Buffer.from(data, 'hex').toString('utf8');
  const signature = sign(Buffer.from(key, 'hex'), text);
  expect(Buffer.from(signature, 'base64url').toString('hex')).toBe(mac.slice(0, 32));
  expect(signature).toHaveLength(22);
});
