import { Fault } from '../domain/fault.js';

/** Codes of this folder. */
export type SheetFaultCode =
  /** Tasks wait for each other, so that none can be first; a checked plan never does. */
  'order-impossible';

/** Tasks that cannot be put in order.
 *  @param stuck  their ids */
export function orderFault(code: SheetFaultCode, stuck: readonly string[]): Fault {
  return new Fault({
    code,
    message: 'These tasks wait for each other, so none can be first',
    found: stuck.join(', '),
    remedy: 'Take one of their `after` entries out.',
  });
}
