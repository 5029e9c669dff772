import { Fault, type FaultDetails } from '../domain/fault.js';

/** Codes of this folder; those of quantities and limits stand in domain/. */
export type InspectionFaultCode =
  /** What was entered is none of the entries, or not as many values, as the specification takes. */
  | 'finding-unreadable'
  /** The longest time of a test is 0 or below. */
  | 'longest-not-positive'
  /** A reading lies outside the table that it is looked up in. */
  | 'outside-the-table'
  /** The smallest step of an instrument is 0 or below. */
  | 'resolution-not-positive'
  /** A value to set was to be judged; its finding is whether it still turned. */
  | 'specification-without-verdict'
  /** A table has two values for one reading. */
  | 'table-point-twice'
  /** A table has fewer than two points. */
  | 'table-too-short';

/** A fault in a finding, or in the specification that it is held against. */
export function inspectionFault(details: FaultDetails & { readonly code: InspectionFaultCode }): Fault {
  return new Fault(details);
}
