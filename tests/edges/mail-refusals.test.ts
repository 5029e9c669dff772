import { afterEach, describe, expect, test } from 'vitest';
import { type SmtpLimits, smtpChannel } from '../../src/channels/mail.js';
import type { SmtpSettings } from '../../src/domain/household.js';
import type { Delivery } from '../../src/domain/results/envelope.js';
import { envelope } from '../stage/channel-suite.js';
import {
  findClosedPort,
  type MailServer,
  type Misbehaviour,
  startBrokenServer,
  startMailServer,
} from '../stage/mail-server.js';
import { noLog } from '../stage/no-log.js';

const login = { user: 'shed@example.org', password: 'correct horse/battery+staple=' };
const quick: SmtpLimits = { connectMs: 300, greetingMs: 300, silenceMs: 300, wholeMs: 600, trustedPem: null };
const patient: SmtpLimits = {
  connectMs: 10_000,
  greetingMs: 10_000,
  silenceMs: 10_000,
  wholeMs: 60_000,
  trustedPem: null,
};

const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  await Promise.all(open.splice(0).map((one) => one.close()));
});

function channelTo(port: number, more: Partial<SmtpSettings> = {}, limits: SmtpLimits = patient, log = noLog) {
  const settings: SmtpSettings = { host: '127.0.0.1', port, security: 'plain', from: 'shed@example.org', ...more };
  return smtpChannel(settings, { name: 'Cork Oak Hollow' }, log, limits);
}

async function sendTo(
  misbehave: Misbehaviour,
  more: Partial<SmtpSettings> = {},
): Promise<Delivery & { server: MailServer }> {
  const server = await startMailServer({
    security: 'plain',
    login: misbehave.login === undefined ? null : login,
    misbehave,
  });
  open.push(server);
  return { ...(await channelTo(server.port, more).deliver(envelope())), server };
}

describe('what a mail server answers', () => {
  test.each([
    ['sender', 451],
    ['recipient', 450],
    ['recipient', 421],
    ['data', 451],
    ['data', 452],
  ] as const)('a temporary answer to the %s (%i) means to try later', async (step, code) => {
    const delivery = await sendTo({ [step]: code });
    expect(delivery).toMatchObject({ kind: 'try-later', afterMs: null });
    expect(delivery.server.arrived).toHaveLength(0);
  });

  test.each([
    ['sender', 553],
    ['recipient', 550],
    ['data', 554],
  ] as const)('a permanent answer to the %s (%i) is a refusal that says so', async (step, code) => {
    const delivery = await sendTo({ [step]: code });
    expect(delivery.kind).toBe('refused');
    expect(delivery.kind === 'refused' && delivery.reason).toContain(String(code));
  });

  test('a refused login waits long, says what to check, and tells no secret even if the server does', async () => {
    const delivery = await sendTo({ login: 535 }, login);
    expect(delivery.kind).toBe('try-later');
    if (delivery.kind !== 'try-later') return;
    expect(delivery.afterMs).toBeGreaterThanOrEqual(3_600_000);
    expect(delivery.reason).toContain('login');
    expect(delivery.reason).not.toContain(login.password);
  });

  test('a login that cannot be checked just now is tried at the usual pace', async () => {
    expect(await sendTo({ login: 454 }, login)).toMatchObject({ kind: 'try-later', afterMs: null });
  });

  test('a login where the server takes none is no lost letter', async () => {
    const server = await startMailServer({ security: 'plain', login: null });
    open.push(server);
    const delivery = await channelTo(server.port, { user: 'nobody', password: 'nothing' }).deliver(envelope());
    expect(delivery.kind).toBe('try-later');
  });

  test('the log is told of a failure without an address or a secret', async () => {
    const told: string[] = [];
    const keep = (fields: object, event: string) => {
      told.push(JSON.stringify({ ...fields, event }));
    };
    const server = await startMailServer({ security: 'plain', login, misbehave: { login: 535 } });
    open.push(server);
    const log = { error: keep, warn: keep, info: keep, debug: keep };
    await channelTo(server.port, { user: 'shed', password: login.password }, patient, log).deliver(envelope());
    expect(told).toHaveLength(1);
    expect(told[0]).not.toContain(login.password);
    expect(told[0]).not.toContain('marta@example.org');
  });
});

describe('a connection that fails', () => {
  test('nobody listens: try later', async () => {
    expect(await channelTo(await findClosedPort()).deliver(envelope())).toMatchObject({
      kind: 'try-later',
      afterMs: null,
    });
  });

  test('a server that never greets is given up after the time allowed', async () => {
    const server = await startBrokenServer('never-greets');
    open.push(server);
    const delivery = await channelTo(server.port, {}, quick).deliver(envelope());
    expect(delivery.kind === 'try-later' && delivery.reason).toContain('did not answer in time');
  });

  test('a server that turns everybody away has not judged the letter: try later, after a while', async () => {
    const server = await startBrokenServer('turns-away');
    open.push(server);
    const delivery = await channelTo(server.port).deliver(envelope());
    expect(delivery).toMatchObject({ kind: 'try-later', afterMs: 3_600_000 });
    expect(delivery.kind === 'try-later' && delivery.reason).toContain('554 no service for you');
  });

  test.each(['silent-after-data', 'hangs-up-after-data', 'dribbles-after-data'] as const)(
    'a server that is %s may have the letter: try later, under the same Message-ID',
    async (way) => {
      const server = await startBrokenServer(way);
      open.push(server);
      const delivery = await channelTo(server.port, {}, quick).deliver(envelope());
      expect(delivery.kind).toBe('try-later');
      expect(server.letters()).toBe(1);
    },
  );
});

describe('encryption and login', () => {
  test.each(['tls', 'starttls'] as const)('%s: the letter travels encrypted, with the login', async (security) => {
    const server = await startMailServer({ security, login });
    open.push(server);
    const channel = channelTo(
      server.port,
      { host: 'localhost', security, ...login },
      { ...patient, trustedPem: server.cert },
    );
    expect(await channel.deliver(envelope())).toMatchObject({ kind: 'delivered' });
    expect(server.arrived[0]).toMatchObject({
      encrypted: true,
      user: login.user,
      from: 'shed@example.org',
      to: ['marta@example.org'],
    });
  });

  test.each(['tls', 'starttls'] as const)(
    '%s: a certificate that nobody vouches for is not trusted',
    async (security) => {
      const server = await startMailServer({ security, login });
      open.push(server);
      const delivery = await channelTo(server.port, { host: 'localhost', security, ...login }).deliver(envelope());
      expect(delivery.kind === 'try-later' && delivery.reason).toContain('certificate');
      expect(server.arrived).toHaveLength(0);
    },
  );

  test('a server without STARTTLS is never sent the letter or the login in the clear', async () => {
    const server = await startMailServer({ security: 'plain', login });
    open.push(server);
    const delivery = await channelTo(server.port, { security: 'starttls', ...login }).deliver(envelope());
    expect(delivery.kind).toBe('try-later');
    expect(server.arrived).toHaveLength(0);
  });

  test('the sender is the household by name, or as the settings name it', async () => {
    const server = await startMailServer({ security: 'plain', login: null });
    open.push(server);
    await channelTo(server.port).deliver(envelope());
    await channelTo(server.port, { from: 'The Shed <shed@example.org>' }).deliver(envelope());
    expect(server.arrived.map(({ mail }) => mail.from?.value[0])).toEqual([
      { name: 'Cork Oak Hollow', address: 'shed@example.org' },
      { name: 'The Shed', address: 'shed@example.org' },
    ]);
  });

  test('a person without a mail address is a refusal that names them', async () => {
    const delivery = await channelTo(await findClosedPort()).deliver(envelope({ to: { id: 'marta', name: 'Marta' } }));
    expect(delivery.kind === 'refused' && delivery.reason).toContain('Marta');
  });
});
