import type { ParsedMail } from 'mailparser';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Channel } from '../../src/channels/channel.js';
import type { Envelope } from '../../src/domain/results/envelope.js';
import { writeLetter } from '../../src/words/letter.js';
import { context, hotOil, notice } from './letter-scene.js';

/** A channel with whatever stands at its other end. */
export interface ChannelScene {
  readonly channel: Channel;
  /** Letters that are there now, oldest first, as an independent parser reads them. */
  arrived(): Promise<readonly ParsedMail[]>;
  close(): Promise<void>;
}

/** An envelope with a whole work letter in it. */
export function envelope(more: Partial<Envelope> = {}): Envelope {
  return {
    id: 'letter-1',
    messageId: '<letter-1.0@shed.example>',
    to: { id: 'marta', name: 'Marta Brandão', mail: 'marta@example.org' },
    letter: writeLetter({ to: 'marta', notices: [notice('work')] }, context()),
    writtenAtMs: Date.UTC(2031, 2, 21, 18, 30, 0),
    inReplyTo: null,
    references: [],
    ...more,
  };
}

/** The promises that every way out keeps, whatever it is made of. */
export function promiseOfEveryChannel(name: string, open: () => Promise<ChannelScene>): void {
  describe(`${name}, as every channel`, () => {
    let scene: ChannelScene;
    beforeEach(async () => {
      scene = await open();
    });
    afterEach(() => scene.close());

    async function only(): Promise<ParsedMail> {
      const letters = await scene.arrived();
      expect(letters).toHaveLength(1);
      const [letter] = letters;
      if (letter === undefined) throw new Error('nothing arrived');
      return letter;
    }

    test('what arrives says all that the letter says, in plain text and in HTML', async () => {
      const sent = envelope();
      expect((await scene.channel.deliver(sent)).kind).toBe('delivered');
      const mail = await only();
      expect(mail.subject).toBe(sent.letter.subject);
      const plain = flat(mail.text ?? '');
      const page = flat(visibleText(mail));
      for (const said of allTexts(sent)) {
        expect(plain).toContain(flat(said));
        expect(page).toContain(flat(said));
      }
    });

    test('addresses arrive unbroken, as links and as text', async () => {
      await scene.channel.deliver(envelope());
      const mail = await only();
      const address = 'http://shed.example:8377/v/hill-tractor-engine-oil-3.marta.c2lnbmVk';
      expect((mail.text ?? '').split('\n')).toContain(address);
      expect(mail.html).toContain(`href="${address}"`);
    });

    test('Message-ID, Date and thread are those of the envelope, and it is marked as written by a machine', async () => {
      const sent = envelope({
        inReplyTo: '<letter-0.0@shed.example>',
        references: ['<root.0@shed.example>', '<letter-0.0@shed.example>'],
      });
      await scene.channel.deliver(sent);
      const mail = await only();
      expect(mail.messageId).toBe(sent.messageId);
      expect(mail.date?.getTime()).toBe(sent.writtenAtMs);
      expect(mail.inReplyTo).toBe(sent.inReplyTo);
      expect(mail.references).toEqual(sent.references);
      expect(mail.headers.get('auto-submitted')).toBe('auto-generated');
    });

    test('the same envelope twice is the same letter under the same Message-ID', async () => {
      await scene.channel.deliver(envelope());
      await scene.channel.deliver(envelope());
      const letters = await scene.arrived();
      expect(letters.length).toBeGreaterThan(0);
      expect(new Set(letters.map((mail) => `${mail.messageId}\n${mail.text}\n${mail.html}`)).size).toBe(1);
    });

    test('letters beyond ASCII arrive as they were written', async () => {
      const letter = { subject: 'Müllers Mäher: Öl ½ L 🛢️', lead: 'Ça va — “ﬁne”, 20 µm ≤ x.', blocks: [] };
      await scene.channel.deliver(envelope({ letter, to: { id: 'zoe', name: 'Zoë 李', mail: 'zoe@example.org' } }));
      const mail = await only();
      expect(mail.subject).toBe(letter.subject);
      expect(mail.text).toContain(letter.lead);
      expect(recipientsOf(mail)).toEqual([{ name: 'Zoë 李', address: 'zoe@example.org' }]);
    });

    test('a long subject with quotes and letters of two directions arrives whole', async () => {
      const subject = `מכסחת "north" “field” \\ ;,: <b> ${'very long name '.repeat(20)}🛢️ 1 h 05`;
      await scene.channel.deliver(envelope({ letter: { subject, lead: 'x', blocks: [] } }));
      expect((await only()).subject).toBe(subject);
    });

    test.each([
      ['a name', { to: { id: 'eve', name: 'Eve\r\nBcc: eve@example.net', mail: 'marta@example.org' } }],
      [
        'a name that closes itself',
        { to: { id: 'eve', name: 'Eve" <eve@example.net>, "', mail: 'marta@example.org' } },
      ],
      ['a subject', { letter: { subject: 'Oil\r\nBcc: eve@example.net\r\n\r\nbody', lead: 'x', blocks: [] } }],
    ])('%s cannot add a header or a recipient', async (_what, more) => {
      await scene.channel.deliver(envelope(more));
      const mail = await only();
      expect(mail.bcc).toBeUndefined();
      expect(recipientsOf(mail).map((to) => to.address)).toEqual(['marta@example.org']);
      expect(mail.subject).not.toMatch(/[\r\n]/);
    });

    test.each([
      'marta@example.org\r\nBcc: eve@example.net',
      'marta@example.org, eve@example.net',
      'Marta <marta@example.org>',
      'marta',
      '@example.org',
      `${'m'.repeat(260)}@example.org`,
    ])('the address %j is refused with a reason, and nothing goes out', async (mail) => {
      const delivery = await scene.channel.deliver(envelope({ to: { id: 'marta', name: 'Marta', mail } }));
      expect(delivery.kind).toBe('refused');
      expect(delivery.kind === 'refused' && delivery.reason).toContain('mail address');
      expect(await scene.arrived()).toHaveLength(0);
    });

    test('what looks like markup in a letter is shown, not obeyed', async () => {
      const lead = '<script>alert(1)</script> & "5 < 6"';
      const blocks = [{ kind: 'link', label: 'tap', url: 'javascript:alert(1)', main: true }] as const;
      await scene.channel.deliver(envelope({ letter: { subject: 's', lead, blocks } }));
      const mail = await only();
      expect(mail.html).not.toContain('<script');
      expect(mail.html).not.toContain('href="javascript');
      expect(visibleText(mail)).toContain(lead);
    });

    test('a caution keeps its signal word with its hazard', async () => {
      await scene.channel.deliver(envelope());
      const mail = await only();
      expect(flat(mail.text ?? '').replaceAll('| ', '')).toContain(`${hotOil.signal} ${hotOil.hazard}`);
    });
  });
}

function allTexts(sent: Envelope): readonly string[] {
  return [
    sent.letter.lead,
    ...sent.letter.blocks.flatMap((block) => {
      if (block.kind === 'heading' || block.kind === 'text' || block.kind === 'typed') return [block.text];
      if (block.kind === 'caution') return [block.caution.signal, block.caution.hazard, block.caution.avoid];
      if (block.kind === 'link') return [block.label, block.url];
      return block.items;
    }),
  ];
}

/** One line, the frame of a caution and the bullets aside. */
function flat(text: string): string {
  return text.replace(/^\| /gm, '').replace(/\s+/g, ' ');
}

function visibleText(mail: ParsedMail): string {
  return (mail.html || '')
    .replace(/<style>[\s\S]*?<\/style>|<head>[\s\S]*?<\/head>/g, ' ')
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&')
    .replace(/\s+/g, ' ');
}

function recipientsOf(mail: ParsedMail) {
  const to = mail.to === undefined ? [] : Array.isArray(mail.to) ? mail.to : [mail.to];
  return to.flatMap((list) => list.value.map(({ name, address }) => ({ name, address })));
}
