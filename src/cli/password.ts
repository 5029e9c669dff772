import { chmodSync, existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { dataFolder } from '../daemon/wire.js';
import { hashPassword, longestPassword, shortestPassword } from '../pages/guard/password.js';
import { giveTo } from '../store/give-to.js';
import { type At, readHome } from './at.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** `shedbell password`: sets the password for other devices; those signed in with the one before are asked again.
 *  @param input where it is typed, or one line of it comes from */
export async function runPassword(at: At, out: Output, input: NodeJS.ReadStream = process.stdin): Promise<number> {
  const { dir } = readHome(at);
  const password = (await (input.isTTY ? typedTwice(input) : firstLine(input))).trim();
  if (password.length < shortestPassword || password.length > longestPassword) {
    throw new BadInput(
      `The password wants ${shortestPassword} to ${longestPassword} characters (found ${password.length}). Nothing was changed.`,
    );
  }
  const folder = dataFolder(dir);
  if (!existsSync(folder)) {
    mkdirSync(folder, { mode: 0o700 });
    giveTo(dir, [folder]);
  }
  const file = join(folder, 'password');
  const unfinished = `${file}.unfinished`;
  writeFileSync(unfinished, `${await hashPassword(password)}\n`, { mode: 0o600 });
  chmodSync(unfinished, 0o600);
  giveTo(folder, [unfinished]);
  renameSync(unfinished, file);
  out.line('The password is set. A running service takes it over at once; every other device signs in anew.');
  return exitStatus.fine;
}

async function typedTwice(input: NodeJS.ReadStream): Promise<string> {
  const first = await typed(input, 'Password: ');
  const second = await typed(input, 'Once more: ');
  if (first !== second) throw new BadInput('The two are not alike. Nothing was changed.');
  return first;
}

/** One line from the terminal without showing it. */
function typed(input: NodeJS.ReadStream, question: string): Promise<string> {
  process.stderr.write(question);
  input.setRawMode(true);
  input.setEncoding('utf8');
  return new Promise((done, fail) => {
    let text = '';
    const end = (settle: () => void) => {
      input.off('data', take);
      input.setRawMode(false);
      input.pause();
      process.stderr.write('\n');
      settle();
    };
    const take = (piece: string) => {
      for (const key of piece) {
        if (key === '\r' || key === '\n' || key === '\u0004') return end(() => done(text));
        if (key === '\u0003') return end(() => fail(new BadInput('Nothing was changed.')));
        text = key === '\u007f' || key === '\b' ? [...text].slice(0, -1).join('') : text + key;
      }
    };
    input.on('data', take);
    input.resume();
  });
}

async function firstLine(input: NodeJS.ReadStream): Promise<string> {
  const lines = createInterface({ input });
  for await (const line of lines) {
    lines.close();
    return line;
  }
  return '';
}
