import type { Channel } from '../channels/channel.js';
import { endsMail } from '../daemon/links.js';
import { noticeKinds, type Person } from '../domain/household.js';
import type { Delivery } from '../domain/results/envelope.js';
import type { Letter } from '../domain/results/letter.js';
import { wantsNoMail } from '../ledger/mail-ended.js';
import { pushDevices } from '../ledger/push-devices.js';
import { waysOf } from '../ledger/ways.js';
import { type At, clockAt } from './at.js';
import { withService } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';

const wayWords = { mail: 'by mail', push: 'by push', topic: 'on the broker', file: 'as a file' } as const;
const everyKind = noticeKinds.map((kind) => ({ kind, tasks: [] }));

/** `shedbell test-notice [PERSON]`: one letter by each way that reaches a person, now, past the outbox; what happened, a line each. */
export async function runTestNotice(at: At, name: string | undefined, out: Output): Promise<number> {
  return withService(at, async (service, home) => {
    const { household } = home;
    const people = name === undefined ? household.people : household.people.filter((p) => p.id === name);
    if (people.length === 0) {
      const known = household.people.map((p) => p.id).join(', ');
      throw new BadInput(
        `There is nobody ${JSON.stringify(name ?? '')} in household.yaml. Known: ${known || 'nobody'}.`,
      );
    }
    const nowMs = clockAt(at, household.zone).nowMs();
    const channels = service.ways();
    let failed = 0;
    for (const person of people) {
      const hasDevice = pushDevices(service.books).some((device) => device.person === person.id);
      const can = { hasDevice, noMail: wantsNoMail(service.books, person.id) };
      for (const way of waysOf(household, person.id, everyKind, can)) {
        const channel = channels.find((one) => one.kind === way);
        const delivery: Delivery =
          channel === undefined
            ? { kind: 'refused', reason: 'this way is not set up; see household.yaml' }
            : await tryOnce(channel, person, household.name, nowMs, endsMail(service.books, person));
        const line = `${person.name}: ${wayWords[way]}: ${delivery.kind === 'delivered' ? delivery.detail : delivery.reason}`;
        if (delivery.kind === 'delivered') out.line(line);
        else {
          failed += 1;
          out.error(line);
        }
      }
    }
    return failed === 0 ? exitStatus.fine : exitStatus.failed;
  });
}

async function tryOnce(
  channel: Channel,
  person: Person,
  household: string,
  nowMs: number,
  wayOut: ReturnType<typeof endsMail>,
): Promise<Delivery> {
  const id = `test-${person.id}-${nowMs}`;
  try {
    return await channel.deliver({
      id,
      messageId: `<${id}@shedbell.invalid>`,
      to: person,
      letter: testLetter(household),
      writtenAtMs: nowMs,
      inReplyTo: null,
      references: [],
      ...wayOut,
    });
  } catch (failure) {
    return { kind: 'refused', reason: failure instanceof Error ? failure.message : String(failure) };
  }
}

function testLetter(household: string): Letter {
  return {
    subject: 'A test message from Shedbell',
    lead: `This is a test from the service at ${household}: messages reach you this way.`,
    blocks: [{ kind: 'text', text: 'Nothing is to be done.' }],
  };
}
