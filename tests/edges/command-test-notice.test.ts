import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import { commandsOn, removeHome, stageCommandHome } from '../stage/command.js';
import { type MailServer, type Misbehaviour, startMailServer } from '../stage/mail-server.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** The staged home with a mail server of its own, at which Ada has an address and Rui has none. */
async function stage(misbehave: Misbehaviour = {}) {
  const server = await startMailServer({ security: 'plain', login: null, misbehave });
  closers.push(() => server.close());
  return { server, ...homeWith(server) };
}

function homeWith(server: Pick<MailServer, 'port'>) {
  const dir = stageCommandHome({
    'household.yaml': `name: Weir Cottage
timezone: Europe/Lisbon
smtp: { host: 127.0.0.1, port: ${server.port}, security: plain, from: shed@weircottage.example }
people:
  - { id: ada, name: Ada, mail: ada@weircottage.example }
  - { id: rui, name: Rui }
`,
  });
  closers.push(() => removeHome(dir));
  const outbox = join(dir, 'data', 'outbox');
  return { shed: commandsOn(dir), letters: () => (existsSync(outbox) ? readdirSync(outbox) : []) };
}

describe('test-notice', () => {
  test('goes to everybody by their own way: mail, or a file where there is no address', async () => {
    const { server, shed, letters } = await stage();
    const { status, lines, errors } = await shed('test-notice');
    expect({ status, errors }).toEqual({ status: 0, errors: [] });
    expect(lines.map((line) => line.split(':')[0])).toEqual(['Ada', 'Rui']);
    expect(server.arrived.map(({ to, mail }) => [to, mail.subject])).toEqual([
      [['ada@weircottage.example'], expect.stringMatching(/test/i)],
    ]);
    expect(letters().filter((name) => name.endsWith('.eml'))).toHaveLength(1);
  });

  test('goes to one person alone', async () => {
    const { server, shed, letters } = await stage();
    expect(await shed('test-notice', 'ada')).toMatchObject({ status: 0, lines: [expect.stringMatching(/^Ada: /)] });
    expect(server.arrived).toHaveLength(1);
    expect(letters()).toEqual([]);
  });

  test('says what the server said where it refuses, and exits 1; the others get theirs', async () => {
    const { shed, letters } = await stage({ recipient: 550 });
    const { status, lines, errors } = await shed('test-notice');
    expect(status).toBe(1);
    expect(errors).toEqual([expect.stringMatching(/^Ada: .*550/)]);
    expect(lines).toEqual([expect.stringMatching(/^Rui: /)]);
    expect(letters()).toHaveLength(1);
  });

  test('says so where nothing answers, and exits 1', async () => {
    const { server } = await stage();
    await server.close();
    closers.splice(closers.length - 2, 1);
    const { shed } = homeWith(server);
    const { status, lines, errors } = await shed('test-notice', 'ada');
    expect({ status, lines, count: errors.length }).toEqual({ status: 1, lines: [], count: 1 });
    expect(errors[0]).toMatch(/^Ada: /);
    expect(errors[0]).not.toMatch(/\n|node:/);
  });
});
