/** What went wrong with the connection, in words an owner can act on; `address` is the broker's, without the login.
 *  Reason codes: 4 and 5 are CONNACK return codes of MQTT 3.1.1 section 3.2.2.3, 128 and above those of MQTT 5 section 2.4. */
export function sayConnectionError(error: unknown, address: string): string {
  const code = codeOf(error);
  if (code === 4 || code === 134) return `The broker at ${address} refused the login: user or password is wrong.`;
  if (code === 5 || code === 135) {
    return `The broker at ${address} refused the login: user or password is wrong, or this user may not connect.`;
  }
  if (code === 1 || code === 132) {
    return `The broker at ${address} does not speak this version of MQTT; try the other one (3.1.1 or 5).`;
  }
  if (code === 2 || code === 133) return `The broker at ${address} refused the client id.`;
  if (code === 3 || code === 136 || code === 137) return `The broker at ${address} is not taking connections just now.`;
  if (code === 'ECONNREFUSED') return `Nothing answers at ${address}: is the broker running, and is the port right?`;
  if (code === 'ENOTFOUND' || code === 'EAI_AGAIN') return `The name in ${address} is not known on this network.`;
  if (code === 'ETIMEDOUT' || code === 'EHOSTUNREACH' || code === 'ENETUNREACH') {
    return `The broker at ${address} cannot be reached over the network.`;
  }
  if (code === 'ECONNRESET' || code === 'EPIPE') return `The connection to ${address} was cut.`;
  if (typeof code === 'string' && /CERT|SIGNATURE|SSL|TLS/.test(code)) {
    return `The certificate of ${address} is not trusted here (${code}); set caFile to the authority that signed it.`;
  }
  const message = error instanceof Error ? error.message : String(error);
  if (/connack timeout/i.test(message))
    return `Something accepts connections at ${address} but does not answer as a broker.`;
  if (/keepalive timeout/i.test(message)) return `The broker at ${address} stopped answering.`;
  return `The connection to ${address} failed: ${message.slice(0, 120)}.`;
}

/** The broker's address for showing: no user, no password, no path. */
export function plainAddress(url: string): string {
  try {
    const parsed = new URL(url);
    return `${parsed.protocol}//${parsed.host}`;
  } catch {
    return 'the configured address';
  }
}

function codeOf(error: unknown): string | number | undefined {
  if (typeof error !== 'object' || error === null || !('code' in error)) return undefined;
  return typeof error.code === 'string' || typeof error.code === 'number' ? error.code : undefined;
}
