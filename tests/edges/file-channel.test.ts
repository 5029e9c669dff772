import { chmod, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { simpleParser } from 'mailparser';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { fileChannel } from '../../src/channels/file.js';
import { envelope, promiseOfEveryChannel } from '../stage/channel-suite.js';
import { home } from '../stage/letter-scene.js';

async function arrivedIn(folder: string) {
  const names = (await readdir(folder).catch(() => [])).toSorted();
  return Promise.all(names.map(async (name) => simpleParser(await readFile(join(folder, name)))));
}

promiseOfEveryChannel('letters as files', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'letters-'));
  return {
    channel: fileChannel(join(folder, 'outbox'), home.household),
    arrived: () => arrivedIn(join(folder, 'outbox')),
    close: () => rm(folder, { recursive: true, force: true }),
  };
});

describe('letters as files', () => {
  let folder: string;
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'letters-'));
  });
  afterEach(async () => {
    await chmod(folder, 0o700);
    await rm(folder, { recursive: true, force: true });
  });

  test('the name tells day, machine and job, in characters that every disk takes', async () => {
    const delivery = await fileChannel(folder, home.household).deliver(envelope());
    const [name] = await readdir(folder);
    expect(name).toMatch(/^2031-03-21-hill-tractor-change-engine-oil-and-filter-2-sat-22-march-1-h-[0-9a-f]{10}\.eml$/);
    expect(delivery).toEqual({ kind: 'delivered', detail: name });
  });

  test.each(['../../etc/passwd', 'C:\\x', '.hidden', '', '\0', '✂️'])(
    'a subject such as %j stays inside the folder',
    async (subject) => {
      await fileChannel(folder, home.household).deliver(envelope({ letter: { subject, lead: 'x', blocks: [] } }));
      const names = await readdir(folder);
      expect(names).toHaveLength(1);
      expect(names[0]).toMatch(/^2031-03-21(-[a-z0-9]+)*-[0-9a-f]{10}\.eml$/);
    },
  );

  test('the same letter again leaves the same bytes in the same file', async () => {
    const channel = fileChannel(folder, home.household);
    await channel.deliver(envelope());
    const [name = ''] = await readdir(folder);
    const before = await readFile(join(folder, name));
    await channel.deliver(envelope());
    expect(await readdir(folder)).toEqual([name]);
    expect((await readFile(join(folder, name))).equals(before)).toBe(true);
  });

  test('two letters with one subject on one day are two files', async () => {
    const channel = fileChannel(folder, home.household);
    await channel.deliver(envelope());
    await channel.deliver(envelope({ id: 'letter-2', messageId: '<letter-2.0@shed.example>' }));
    expect(await readdir(folder)).toHaveLength(2);
  });

  test('the day in the name is the household’s, not that of UTC', async () => {
    await fileChannel(folder, home.household).deliver(envelope({ writtenAtMs: Date.UTC(2031, 6, 1, 23, 30) }));
    expect((await readdir(folder))[0]).toMatch(/^2031-07-02-/);
  });

  test('a person without a mail address gets a whole letter all the same', async () => {
    const delivery = await fileChannel(folder, home.household).deliver(
      envelope({ to: { id: 'marta', name: 'Marta' } }),
    );
    expect(delivery.kind).toBe('delivered');
    const [mail] = await arrivedIn(folder);
    expect(mail?.from?.value[0]?.name).toBe('Cork Oak Hollow');
    expect(mail?.text).toContain('Change engine oil and filter');
  });

  test('a folder that cannot be written means to try later, and leaves no half letter', async () => {
    await writeFile(join(folder, 'taken'), '');
    const delivery = await fileChannel(join(folder, 'taken'), home.household).deliver(envelope());
    expect(delivery.kind).toBe('try-later');
    expect(await readdir(folder)).toEqual(['taken']);
  });
});
