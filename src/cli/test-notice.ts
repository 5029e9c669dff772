import { join } from 'node:path';
import { fileChannel } from '../channels/file.js';
import { smtpChannel } from '../channels/mail.js';
import { dataFolder } from '../daemon/wire.js';
import type { Letter } from '../domain/results/letter.js';
import { type At, clockAt, readHome } from './at.js';
import { quietLog } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** `shedbell test-notice [PERSON]`: one letter by each person's way, now, past the outbox. */
export async function runTestNotice(at: At, name: string | undefined, out: Output): Promise<number> {
  const { dir, home } = readHome(at);
  const { household } = home;
  const people = name === undefined ? household.people : household.people.filter((p) => p.id === name);
  if (people.length === 0) {
    const known = household.people.map((p) => p.id).join(', ');
    throw new BadInput(`There is nobody ${JSON.stringify(name ?? '')} in household.yaml. Known: ${known || 'nobody'}.`);
  }
  const files = fileChannel(join(dataFolder(dir), 'outbox'), household);
  const mail = household.smtp === undefined ? null : smtpChannel(household.smtp, household, quietLog);
  const nowMs = clockAt(at, household.zone).nowMs();
  let failed = 0;
  for (const person of people) {
    const channel = mail !== null && person.mail !== undefined ? mail : files;
    const id = `test-${person.id}-${nowMs}`;
    const delivery = await channel.deliver({
      id,
      messageId: `<${id}@shedbell.invalid>`,
      to: person,
      letter: testLetter(household.name),
      writtenAtMs: nowMs,
      inReplyTo: null,
      references: [],
    });
    if (delivery.kind === 'delivered') out.line(`${person.name}: ${delivery.detail}`);
    else {
      failed += 1;
      out.error(`${person.name}: ${delivery.reason}`);
    }
  }
  return failed === 0 ? exitStatus.fine : exitStatus.failed;
}

function testLetter(household: string): Letter {
  return {
    subject: 'A test message from Shedbell',
    lead: `This is a test from the service at ${household}: messages reach you this way.`,
    blocks: [{ kind: 'text', text: 'Nothing is to be done.' }],
  };
}
