import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Channel } from '../../src/channels/channel.js';
import { envelope } from './channel-suite.js';

/** A way out with whatever stands at its other end, also where that is no mail. */
export interface WayOutScene {
  readonly channel: Channel;
  /** What is there now, oldest first, as somebody else reads it. */
  arrived(): Promise<readonly string[]>;
  /** Takes the other end away. */
  break(): Promise<void>;
  close(): Promise<void>;
}

/** The promises that every way out keeps, mail or not. Mails keep those of channel-suite.ts besides. */
export function promiseOfEveryWayOut(name: string, open: () => Promise<WayOutScene>): void {
  describe(`${name}, as every way out`, () => {
    let scene: WayOutScene;
    beforeEach(async () => {
      scene = await open();
    });
    afterEach(() => scene.close());

    test('delivered means that the other side holds its subject and its first sentence', async () => {
      const sent = envelope();
      expect((await scene.channel.deliver(sent)).kind).toBe('delivered');
      const [only, ...more] = await scene.arrived();
      expect(more).toEqual([]);
      expect(only).toContain(sent.letter.subject);
      expect(only).toContain(sent.letter.lead);
    });

    test('the same envelope twice is the same letter', async () => {
      await scene.channel.deliver(envelope());
      await scene.channel.deliver(envelope());
      expect(new Set(await scene.arrived()).size).toBe(1);
    });

    test('letters beyond ASCII arrive as they were written', async () => {
      const letter = { subject: 'Müllers Mäher: Öl ½ L 🛢️', lead: 'Ça va — “ﬁne”, 20 µm ≤ x.', blocks: [] };
      await scene.channel.deliver(envelope({ letter }));
      const [only] = await scene.arrived();
      expect(only).toContain(letter.subject);
      expect(only).toContain(letter.lead);
    });

    test('nobody at the other end: to be tried later, with a reason, and nothing thrown', async () => {
      await scene.break();
      const delivery = await scene.channel.deliver(envelope());
      expect(delivery.kind).toBe('try-later');
      expect(delivery.kind === 'try-later' && delivery.reason.length).toBeGreaterThan(10);
    });
  });
}
