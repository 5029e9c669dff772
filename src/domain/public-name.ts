/** Endings of names that mean something within one network only, or nothing anywhere.
 *  Source: RFC 6761 (localhost, invalid, test), RFC 6762 (local), RFC 8375 (home.arpa); lan, home, internal: common practice, no source. */
const inner = ['localhost', 'local', 'invalid', 'test', 'lan', 'home', 'internal', 'intranet', 'home.arpa'];
const label = /^[a-z0-9_]([a-z0-9_-]{0,61}[a-z0-9])?$/;

/** Whether a host name can mean one computer on the internet at large: a name with a dot, none of an inner network. Numbers never
 *  count, in whatever form they are written: services on the internet have names, and a number may be that of a neighbour.
 *  @param host  name as the URL standard gives it; upper case and one trailing dot are overlooked
 *  @returns     false for an empty text, a number (IPv4 or IPv6), a name without a dot, an inner name */
export function isPublicName(host: string): boolean {
  const name = host.toLowerCase().replace(/\.$/, '');
  const labels = name.split('.');
  if (name.length > 253 || labels.length < 2 || !labels.every((one) => label.test(one))) return false;
  // The last label of a name is never a number; all forms of IPv4 end with one (URL standard, "ends in a number").
  if (/^(\d+|0x[0-9a-f]*)$/.test(labels.at(-1) ?? '')) return false;
  return !inner.some((ending) => name === ending || name.endsWith(`.${ending}`));
}
