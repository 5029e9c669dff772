import { expect, test } from 'vitest';
import { whole, write } from '../../tests/stage/letter-said.js';
import { context, notice, outlook, tractor } from '../../tests/stage/letter-scene.js';
import type { Noticed } from '../domain/facts.js';

const seenToAtMs = Date.parse('2031-03-09T15:00:00Z');
const noticed: Noticed = {
  id: 'noticed-1',
  atMs: 1,
  text: 'the lift hums',
  state: 'answered',
  seenTo: { atMs: seenToAtMs, record: null },
  helped: [],
};
const scene = (...askedOf: readonly string[]) =>
  context({
    outlook: {
      ...outlook,
      machines: outlook.machines.map((one) =>
        one.machine === tractor.id ? { ...one, helpToAsk: [{ noticed, seenToAtMs, sinceMs: 2, askedOf }] } : one,
      ),
    },
  });
const question = 'Hill tractor: “the lift hums” was seen to (9 March). Did it help? Say so on its page.';

test('a message about the machine that goes out anyway asks whether it helped', () => {
  expect(whole(write([notice('work')], scene()))).toContain(question);
});

test('a person whom a message has asked before is not asked again, another one is', () => {
  const { to } = notice('work');
  expect(whole(write([notice('work')], scene(to)))).not.toContain(question);
  expect(whole(write([notice('work')], scene('somebody else')))).toContain(question);
});

test('a message about another machine does not ask', () => {
  expect(whole(write([notice('work', { machine: 'generator', visit: null })], scene()))).not.toContain(question);
});
