/** Codes of the faults that this folder raises. */
export const brokerFaults = {
  /** A topic to subscribe to is empty, too long, or has a wildcard or a control character in it. */
  topicUnfit: 'topic-unfit',
  /** The embedded broker's port is in use by another program. */
  portBusy: 'broker-port-busy',
} as const;
