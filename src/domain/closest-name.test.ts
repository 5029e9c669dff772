import { describe, expect, it } from 'vitest';
import { closestName, didYouMean } from './closest-name.js';

describe('a mistyped name', () => {
  it('finds the one that was meant', () => {
    expect(closestName('mintues', ['minutes', 'title', 'measure'])).toBe('minutes');
    expect(closestName('working_days', ['workingDays', 'daysOff'])).toBe('workingDays');
    expect(closestName('oli', ['oil', 'air'])).toBe('oil');
    expect(closestName('does', ['do', 'where'])).toBe('do');
    expect(closestName('Engine Oil', ['engine-oil', 'gear-oil'])).toBe('engine-oil');
  });

  it('suggests nothing where nothing is near', () => {
    expect(closestName('colour', ['minutes', 'title'])).toBeNull();
    expect(closestName('a', ['b'])).toBeNull();
    expect(closestName('max', ['min', 'name'])).toBeNull();
    expect(closestName('anything', [])).toBeNull();
  });

  it('lists what is known where nothing is near', () => {
    expect(didYouMean('colour', ['minutes', 'title'])).toBe('Known here: minutes, title.');
    expect(didYouMean('titel', ['minutes', 'title'])).toBe('Did you mean "title"?');
    expect(didYouMean('titel', [])).toBe('');
  });
});
