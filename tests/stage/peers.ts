import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';

/** Real programs that tests talk to, and the Debian package of each. */
const peers = {
  mosquitto: { programs: ['/usr/sbin/mosquitto', '/usr/bin/mosquitto_passwd'], package: 'mosquitto' },
  chromium: { programs: ['/usr/bin/chromium'], package: 'chromium' },
} as const;

export type Peer = keyof typeof peers;

/** The path of a real peer; installed first where it is missing and this is root on a Debian-like system.
 *  @throws Error with one line that says what to install; a missing peer fails its tests, it never skips them */
export function requirePeer(name: Peer): string {
  const peer = peers[name];
  const isThere = () => peer.programs.every((program) => existsSync(program));
  if (!isThere()) install(name, peer.package);
  if (!isThere()) throw new Error(missing(name, peer.package));
  return peer.programs[0];
}

function install(name: Peer, debianPackage: string): void {
  if (process.getuid?.() !== 0 || !existsSync('/usr/bin/apt-get')) throw new Error(missing(name, debianPackage));
  const options = {
    stdio: 'pipe',
    timeout: 300_000,
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  } as const;
  try {
    execFileSync('apt-get', ['update'], options);
    execFileSync('apt-get', ['install', '-y', '--no-install-recommends', debianPackage], options);
  } catch (cause) {
    throw new Error(missing(name, debianPackage), { cause });
  }
}

function missing(name: Peer, debianPackage: string): string {
  return `These tests need ${name}, which is not installed: run "apt-get install ${debianPackage}" and start them again.`;
}
