// Pictures of the demo household's pages on a small phone, into tests/pictures (ignored by git); with --readme also the three that the README
// shows, into demo-data/pictures. Run after a build: node tests/stage/demo-pictures.mjs [--readme]
import { spawn } from 'node:child_process';
import { copyFileSync, mkdirSync } from 'node:fs';
import { chromium } from 'playwright-core';

const port = 8455;
const main = new URL('../../dist/main.js', import.meta.url).pathname;
const folder = new URL('../pictures/', import.meta.url).pathname;
const shown = new URL('../../demo-data/pictures/', import.meta.url).pathname;
mkdirSync(folder, { recursive: true });

const demo = spawn(process.execPath, [main, 'demo'], {
  env: { ...process.env, SHEDBELL_PORT: String(port) },
  stdio: ['ignore', 'inherit', 'inherit'],
});
const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu'],
});
try {
  await answers();
  const page = await browser.newPage({ viewport: { width: 360, height: 780 }, deviceScaleFactor: 2, locale: 'en-GB' });
  const take = async (name, path) => {
    await page.goto(`http://localhost:${port}${path}`);
    await page.screenshot({ path: `${folder}demo-${name}.png` });
    if (process.argv.includes('--readme')) {
      mkdirSync(shown, { recursive: true });
      copyFileSync(`${folder}demo-${name}.png`, `${shown}${name}.png`);
    }
  };
  await take('months-ahead', '/');
  const sheet = await page.locator('a[href^="/visits/"]').first().getAttribute('href');
  const reading = await page.locator('a[href^="/machines/"][href$="/reading"]').first().getAttribute('href');
  const machine = reading.replace(/\/reading$/, '');
  await take('machine', machine);
  await take('sheet', sheet);
} finally {
  await browser.close();
  demo.kill('SIGTERM');
}

/** Until the months before today have been lived through and the page is there. */
async function answers() {
  for (let tries = 0; tries < 600; tries += 1) {
    try {
      if ((await fetch(`http://localhost:${port}/`)).ok) return;
    } catch {
      // Not yet.
    }
    await new Promise((done) => setTimeout(done, 500));
  }
  throw new Error('the demo did not open its page');
}
