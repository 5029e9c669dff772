import type { Response } from 'express';
import type { ComponentChildren } from 'preact';
import { renderToString } from 'preact-render-to-string';
import type { Assets } from './assets.js';

/** A way to another page. */
export interface Way {
  readonly href: string;
  readonly text: string;
}

const monthsAhead: Way = { href: '/', text: 'Months ahead' };

interface PageProps {
  readonly title: string;
  readonly assets: Assets;
  /** The months ahead are the top of everything. */
  readonly isHome?: boolean;
  /** The page that this one belongs to, to which it leads back; absent: the months ahead. */
  readonly up?: Way;
  readonly children: ComponentChildren;
}

/** What the head of every page holds, that of a service which stands still included. */
export function HeadOfAll({ title, assets }: Pick<PageProps, 'title' | 'assets'>) {
  return (
    <>
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width, initial-scale=1" />
      <meta name="color-scheme" content="light dark" />
      <meta name="robots" content="noindex, nofollow" />
      <title>{title}</title>
      <link rel="stylesheet" href={assets.style} />
      <link rel="icon" type="image/svg+xml" href={assets.icon} />
    </>
  );
}

/** The frame of every page: readable without scripts, the ways on at the foot where the thumb is. */
export function Page({ title, assets, isHome = false, up = monthsAhead, children }: PageProps) {
  return (
    <html lang="en">
      <head>
        <HeadOfAll title={title} assets={assets} />
        <link rel="manifest" href={assets.manifest} />
        <script src={assets.script} defer />
        <script src={assets.waiting} defer />
        <script src={assets.copies} type="module" />
        <script src={assets.push} defer />
      </head>
      <body>
        {isHome ? null : (
          <nav class="back" aria-label="Back">
            <a href={up.href}>{up.text}</a>
          </nav>
        )}
        <main>{children}</main>
        <footer>
          <nav aria-label="Pages">
            <a href={monthsAhead.href}>{monthsAhead.text}</a>
            <a href="/machines">Machines</a>
            <a href="/notices">Notices</a>
            <a href="/set-up">Set up</a>
            <a href="/devices">Devices and signing out</a>
          </nav>
        </footer>
      </body>
    </html>
  );
}

/** Sends a page with its status. */
export function sendPage(response: Response, status: number, page: preact.JSX.Element): void {
  response.status(status).type('html').send(writePage(page));
}

/** A page as it is sent. */
export function writePage(page: preact.JSX.Element): string {
  return `<!doctype html>${renderToString(page)}`;
}
