import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

/** Addresses of the files that pages link to; each bears a mark of its content, so that browsers may keep it for long. */
export interface Assets {
  readonly style: string;
  readonly script: string;
  readonly icon: string;
  readonly manifest: string;
}

export function findAssets(webFolder: string): Assets {
  const address = (name: string) => {
    const mark = createHash('sha256')
      .update(readFileSync(join(webFolder, name)))
      .digest('hex')
      .slice(0, 10);
    return `/web/${name}?v=${mark}`;
  };
  return {
    style: address('style.css'),
    script: address('client.js'),
    icon: address('icon.svg'),
    manifest: address('manifest.webmanifest'),
  };
}
