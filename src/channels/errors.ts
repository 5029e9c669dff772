import { Fault, type FaultDetails } from '../domain/fault.js';

/** Codes of this folder; within a way out each becomes a refusal with its reason. */
export type ChannelFaultCode =
  /** An address is missing, or is not exactly one plain address. */
  | 'address-unusable'
  /** A Message-ID is not of the form `<left@right>`. */
  | 'message-id-unusable'
  /** The file with the keys of push messages holds something else. */
  | 'push-keys-unreadable';

/** A fault of a way out. */
export function channelFault(code: ChannelFaultCode, details: Omit<FaultDetails, 'code'>): Fault {
  return new Fault({ ...details, code });
}
