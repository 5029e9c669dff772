import { spawn } from 'node:child_process';

/** Tells systemd that the service is there and well; does nothing where nobody asked. */
export interface Watchdog {
  /** The doors are open. */
  ready(): void;
  /** One sign of life, if all is well: without it systemd starts the service anew. */
  beat(): void;
  stopping(): void;
}

/** How often signs of life are wanted, milliseconds; null where no watchdog waits.
 *  Source: sd_watchdog_enabled(3): WATCHDOG_USEC in microseconds, and half of it between two signs. */
export function beatEveryMs(environment: Readonly<Record<string, string | undefined>>): number | null {
  const microseconds = Number(environment.WATCHDOG_USEC);
  if (environment.NOTIFY_SOCKET === undefined || !Number.isFinite(microseconds) || microseconds <= 0) return null;
  return Math.max(1000, Math.floor(microseconds / 2000));
}

/** @param isWell asked before each sign of life
 *  @param send   hands a state to systemd, such as `WATCHDOG=1` */
export function openWatchdog(isWell: () => boolean, send: (state: string) => void): Watchdog {
  return {
    ready: () => send('READY=1'),
    beat: () => {
      if (isWell()) send('WATCHDOG=1');
    },
    stopping: () => send('STOPPING=1'),
  };
}

/** Node opens no datagram sockets of that kind, so systemd's own small program says it; the unit needs NotifyAccess=all. */
export function notifySystemd(environment: NodeJS.ProcessEnv): (state: string) => void {
  return (state) => {
    if (environment.NOTIFY_SOCKET === undefined) return;
    const child = spawn('systemd-notify', [state], { env: environment, stdio: 'ignore' });
    // Without that program nobody can be told; systemd then says so itself.
    child.on('error', () => {});
  };
}
