import { describe, expect, it } from 'vitest';
import { libraryPlans, loadLibraryPlan } from './plan-library.js';

describe('the plan library', () => {
  it('has plans for tractor, mower, generator and small tool', () => {
    expect(libraryPlans()).toEqual([
      'compact-diesel-tractor',
      'portable-generator',
      'ride-on-petrol-mower',
      'small-petrol-engine-tool',
    ]);
  });

  it.each(libraryPlans())('%s keeps every rule', (name) => {
    const read = loadLibraryPlan(name);
    expect(read.kind === 'faults' ? read.faults.map((fault) => fault.line) : []).toEqual([]);
    if (read.kind === 'plan') expect(read.plan.tasks.length).toBeGreaterThan(5);
  });
});
