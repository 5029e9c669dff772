import { describe, expect, test } from 'vitest';
import { meetsDemand } from '../domain/fluid-used.js';
import type { Machine } from '../domain/machine.js';
import { loadLibraryPlan } from '../home/plan-library.js';
import { fluidsTold } from './fluids-told.js';
import { BadInput } from './output.js';

function tractor(): Pick<Machine, 'tasks'> {
  const read = loadLibraryPlan('compact-diesel-tractor');
  if (read.kind === 'faults') throw new Error('the plan is not readable');
  return read.plan;
}
const told = (text: string, tasks: readonly string[] = ['engine-oil']) => fluidsTold([text], tasks, tractor());

describe('a fluid on the command line', () => {
  test.each([
    ['engine oil: 5W-40, 4 L', '5W-40', '4 L'],
    ['Engine oil: 5W-40', '5W-40', null],
    ['engine-oil/engine oil: winter oil, blue can, 3,8 L', 'winter oil, blue can', '3,8 L'],
    ['engine oil: 3.9 L', null, '3.9 L'],
    ['engine oil: 30', '30', null],
    ['engine oil: 5W-40, 7 psi', '5W-40', '7 psi'],
  ])('%s', (text, found, left) => {
    expect(told(text)).toEqual([
      expect.objectContaining({ task: 'engine-oil', measurement: 'fluid engine oil', found, left }),
    ]);
  });

  test('says that it is as demanded, under a name of its own', () => {
    expect(told('engine oil: blue can, 4 L; as demanded')).toEqual([
      expect.objectContaining({ found: 'blue can', left: '4 L', note: meetsDemand }),
    ]);
    expect(told('engine oil: blue can, 4 L')).toEqual([expect.objectContaining({ note: null })]);
  });

  test('names one fluid of the jobs that are confirmed, or is refused with the names there are', () => {
    expect(() => told('gear grease: 1 L')).toThrow(BadInput);
    expect(() => told('gear grease: 1 L')).toThrow('engine-oil/engine oil');
    expect(() => told('engine oil')).toThrow('says nothing of it');
    expect(() => told('grease: 0.1 kg', ['grease-chassis', 'grease-loader'])).toThrow('could mean several');
  });
});
