/** Codes of the faults that a way out raises within itself; each becomes a refusal with its reason.
 *  - `address-unusable`: an address is missing, or is not exactly one plain address.
 *  - `message-id-unusable`: a Message-ID is not of the form `<left@right>`. */
export const channelFaultCodes = ['address-unusable', 'message-id-unusable'] as const;
