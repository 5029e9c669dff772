import { expect, it } from 'vitest';
import { dayMs, hourMs } from '../domain/day.js';
import { clockGate } from './clock.js';

const right = Date.UTC(2031, 3, 5, 10);
/** A gate whose computer has been up for so many hours, and whose clock is off by so much. */
function stage() {
  let upMs = 0;
  const gate = clockGate(() => upMs);
  return {
    look: (clockMs: number, newest: number | null) => gate(clockMs, newest),
    pass: (ms: number) => {
      upMs += ms;
      return ms;
    },
  };
}

it('a clock that agrees with what was written down is believed, and so is the first start', () => {
  const { look } = stage();
  expect(look(right, null)).toBeNull();
  expect(look(right, right - 200 * dayMs)).toBeNull();
  expect(look(right, right + hourMs)).toBeNull();
});

it('a clock from before the program is never believed', () => {
  const { look, pass } = stage();
  expect(look(0, null)).toContain('before this program');
  pass(30 * dayMs);
  expect(look(30 * dayMs, null)).toContain('before this program');
});

it('a clock in the past is waited for and believed once it is set', () => {
  const { look, pass } = stage();
  expect(look(right - 300 * dayMs, right)).toContain('already written down');
  pass(hourMs);
  expect(look(right + hourMs, right)).toBeNull();
});

it('a clock far ahead is waited for; once it is set all is well at once', () => {
  const { look, pass } = stage();
  expect(look(right + 4000 * dayMs, right)).toContain('nothing was written down since');
  pass(hourMs / 2);
  expect(look(right + 4000 * dayMs + hourMs / 2, right)).not.toBeNull();
  expect(look(right + hourMs / 2, right)).toBeNull();
});

it('a service that stood still for two years is believed after an hour', () => {
  const { look, pass } = stage();
  expect(look(right, right - 800 * dayMs)).not.toBeNull();
  pass(hourMs);
  expect(look(right + hourMs, right - 800 * dayMs)).toBeNull();
  expect(look(right + hourMs, right - 800 * dayMs)).toBeNull();
});

it('what a clock running ahead left in the books silences the service for a day, not until then', () => {
  const { look, pass } = stage();
  const ahead = right + 4000 * dayMs;
  for (let passed = 0; passed < dayMs; passed += pass(6 * hourMs)) {
    expect(look(right + passed, ahead)).not.toBeNull();
  }
  expect(look(right + dayMs, ahead)).toBeNull();
  pass(60_000);
  expect(look(right + dayMs + 60_000, ahead)).toBeNull();
});

it('a clock that jumps about is waited for anew', () => {
  const { look, pass } = stage();
  const newest = right + 4000 * dayMs;
  look(right, newest);
  pass(23 * hourMs);
  look(right + 30 * dayMs, newest);
  pass(2 * hourMs);
  expect(look(right + 30 * dayMs + 2 * hourMs, newest)).not.toBeNull();
});
