import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { RequestHandler } from 'express';

/** Addresses of the files that pages link to; each bears a mark of its content, so that browsers may keep it for long. */
export interface Assets {
  readonly style: string;
  readonly script: string;
  /** Keeps entries until there is signal. */
  readonly waiting: string;
  /** Starts the worker that keeps copies of pages. */
  readonly copies: string;
  /** Asks a browser to be told. */
  readonly push: string;
  readonly icon: string;
  readonly manifest: string;
}

const names = [
  'style.css',
  'client.js',
  'waiting.js',
  'copies.js',
  'push.js',
  'icon.svg',
  'manifest.webmanifest',
] as const;

/** Sends one of these files and no other of the folder. */
export function sendAsset(webFolder: string): RequestHandler<{ name: string }> {
  return (request, response, next) => {
    const name = names.find((one) => one === request.params.name);
    if (name === undefined) return next();
    response.removeHeader('Cache-Control');
    response.sendFile(name, { root: webFolder, maxAge: '365d', immutable: true });
  };
}

/** Addresses of what the pages load, each marked with what the file holds, so that a browser may keep it for good.
 *  @throws where a file is missing from `webFolder` */
export function findAssets(webFolder: string): Assets {
  const address = (name: (typeof names)[number]) => {
    const mark = createHash('sha256')
      .update(readFileSync(join(webFolder, name)))
      .digest('hex')
      .slice(0, 10);
    return `/web/${name}?v=${mark}`;
  };
  return {
    style: address('style.css'),
    script: address('client.js'),
    waiting: address('waiting.js'),
    copies: address('copies.js'),
    push: address('push.js'),
    icon: address('icon.svg'),
    manifest: address('manifest.webmanifest'),
  };
}
