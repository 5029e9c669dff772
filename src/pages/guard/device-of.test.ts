import { expect, it } from 'vitest';
import { deviceOf } from './device-of.js';

// Shapes of the header as the browsers' own pages on user agents give them; the numbers are ours.
it.each([
  [
    'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/1.0 Mobile Safari/537.36',
    'an Android phone',
  ],
  [
    'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/1.0 Safari/537.36',
    'an Android tablet',
  ],
  ['Mozilla/5.0 (iPhone; CPU iPhone OS 1_0 like Mac OS X) AppleWebKit/1.0', 'an iPhone'],
  ['Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:1.0) Gecko/20100101 Firefox/1.0', 'a Windows computer'],
  ['Mozilla/5.0 (Macintosh; Intel Mac OS X 1_0) AppleWebKit/1.0', 'a Mac'],
  ['Mozilla/5.0 (X11; Linux x86_64; rv:1.0) Gecko/20100101 Firefox/1.0', 'a Linux computer'],
  ['<script>alert(1)</script>', 'a device'],
  ['', 'a device'],
  [undefined, 'a device'],
])('%s is %s', (userAgent, device) => {
  expect(deviceOf(userAgent)).toBe(device);
});
