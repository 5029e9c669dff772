import type { Span } from '../../domain/facts.js';
import type { Store } from '../open.js';
import type { ByMachine } from './by-machine.js';
import { spansOf, uniteSpan } from './spans.js';

export function addCoverage(store: Store, machine: string, span: Span): void {
  uniteSpan(store, 'coverage', machine, span);
}

export function coverageOf(store: Store, machines: readonly string[]): ByMachine<Span> {
  return spansOf(store, 'coverage', machines);
}
