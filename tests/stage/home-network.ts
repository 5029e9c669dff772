import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext, BrowserContextOptions } from 'playwright-core';
import { hashPassword } from '../../src/pages/guard/password.js';
import { type OpenPages, openPages } from './open-pages.js';

/** A made-up name of the computer on the home network; open the browser with it (openBrowser). */
export const homeName = 'shed.test';
/** One that browsers lead to this computer and trust as if it were https (W3C Secure Contexts, section 3.1): workers run there. */
export const trustedName = 'shed.localhost';
const password = 'quiet shed in may';

interface HomeNetwork {
  readonly pages: OpenPages;
  /** The pages as a phone reaches them: under a name that is not this computer's own. */
  readonly url: string;
  /** A device of the household that has signed in. */
  device(browser: Browser, options: BrowserContextOptions): Promise<BrowserContext>;
  close(): Promise<void>;
}

/** The pages of a household that has set its password, as other devices of the home see them. */
export async function openHomeNetwork(hostName = homeName): Promise<HomeNetwork> {
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-password-'));
  const passwordFile = join(folder, 'password');
  writeFileSync(passwordFile, await hashPassword(password));
  const pages = await openPages({ address: `http://${hostName}:8377` }, false, undefined, passwordFile);
  const url = pages.url.replace('127.0.0.1', hostName);
  // Once for all devices: signing in is slowed down after a few times.
  const { headers } = await pages.post('/sign-in', { password, next: '/' });
  const [name = '', value = ''] = (headers.get('set-cookie') ?? '').split(';')[0]?.split('=') ?? [];
  return {
    pages,
    url,
    async device(browser, options) {
      const context = await browser.newContext(options);
      await context.addCookies([{ name, value, url, httpOnly: true, sameSite: 'Lax' }]);
      return context;
    },
    async close() {
      await pages.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
