import type { Span } from '../../domain/facts.js';
import type { Store } from '../open.js';
import type { ByMachine } from './by-machine.js';
import { spansOf, uniteSpan } from './spans.js';

/** Adds a time in which the engine ran; what it overlaps or touches becomes one span. */
export function addRun(store: Store, machine: string, run: Span): void {
  uniteSpan(store, 'runs', machine, run);
}

/** When the engines ran, oldest first, no two overlapping. */
export function runsOf(store: Store, machines: readonly string[]): ByMachine<Span> {
  return spansOf(store, 'runs', machines);
}
