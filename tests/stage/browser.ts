import { mkdirSync } from 'node:fs';
import { type Browser, type BrowserContextOptions, chromium } from 'playwright-core';
import { requirePeer } from './peers.js';

/** A real Chromium; installed first where it is missing and can be.
 *  @param names made-up host names that lead to this computer, so that a page can be opened as on a home network */
export async function openBrowser(names: readonly string[] = []): Promise<Browser> {
  const executablePath = requirePeer('chromium');
  const rules = names.map((name) => `MAP ${name} 127.0.0.1`).join(', ');
  return chromium.launch({
    executablePath,
    args: ['--no-sandbox', '--disable-gpu', ...(rules === '' ? [] : [`--host-resolver-rules=${rules}`])],
  });
}

/** A small phone. */
export const phone: BrowserContextOptions = {
  viewport: { width: 360, height: 780 },
  deviceScaleFactor: 2,
  isMobile: true,
  hasTouch: true,
  locale: 'en-GB',
  timezoneId: 'Europe/Dublin',
};

/** Where pictures of the pages are kept for a person to look at. */
export function pictureFolder(): string {
  const folder = new URL('../pictures/', import.meta.url).pathname;
  mkdirSync(folder, { recursive: true });
  return folder;
}
