import { expect, it } from 'vitest';
import { aDay, someMachine, someTask } from '../../tests/stage/small-machine.js';
import { sayOpenFinding } from './open-finding.js';

const stop = { kind: 'test', passes: 'the engine stops', stopUse: true } as const;
const machine = someMachine([
  someTask('stop', { title: 'Stop switch', measure: [{ id: 'stop', name: 'stop', specification: stop }] }),
  someTask('belt', { title: 'Deck belt' }),
]);
const say = (task: string, today: string) =>
  sayOpenFinding({ task, day: aDay('2031-11-25'), enteredAtMs: 0, out: [] }, machine, aDay(today), 'en-GB');

it('what was found outside its limits is said with its day, and what is unsafe is not to be used', () => {
  expect(say('stop', '2031-11-28')).toBe(
    'Orchard mower, stop switch: found outside its limits on 25 November, to be mended; do not use it until mended.',
  );
  expect(say('belt', '2031-11-25')).toBe(
    'Orchard mower, deck belt: found outside its limits today, to be mended; until then it may wear faster or work less well, and its manual says whether it may be used.',
  );
});
