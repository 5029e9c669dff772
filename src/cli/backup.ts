import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import { readHomeFiles } from '../home/kept-files.js';
import { backUp } from '../store/backup.js';
import { type At, readHome } from './at.js';
import { withService } from './open-home.js';
import { exitStatus, type Output } from './output.js';

/** `shedbell backup FILE`: everything the service knows and the files of the home folder, in one file, while the service runs. */
export async function runBackup(at: At, file: string, out: Output): Promise<number> {
  const { dir } = readHome(at);
  return withService(at, async (service) => {
    const to = resolve(file);
    const { store, clock } = service.books;
    const files = readHomeFiles(dir);
    await backUp(store.file, to, { files, atMs: clock.nowMs() });
    out.line(`Backed up to ${to} (${Math.ceil(statSync(to).size / 1024)} KiB), and proved whole.`);
    out.line(`It holds all entries, messages and ${files.length} files of the home folder.`);
    out.line(
      'It also holds the keys of links and calendar: whoever has it can confirm work here. Keep it to yourself.',
    );
    out.line('Not in it: secrets/ and the password of the page. Keep those apart.');
    return exitStatus.fine;
  });
}
