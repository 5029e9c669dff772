import { expect, it } from 'vitest';
import { openStore } from '../store/open.js';
import { feelPulse } from './health.js';
import { beatEveryMs, openWatchdog } from './watchdog.js';

it('a service whose data can be written and whose ticker comes is well, and no longer once either fails', () => {
  let nowMs = 0;
  const store = openStore(':memory:');
  const health = feelPulse(
    store,
    '.',
    () => nowMs,
    () => 1e12,
  );
  const said: string[] = [];
  const watchdog = openWatchdog(
    () => health.isWell(),
    (state) => said.push(state),
  );
  watchdog.ready();
  watchdog.beat();
  expect(said).toEqual(['READY=1', 'WATCHDOG=1']);
  nowMs = 4 * 60_000;
  watchdog.beat();
  expect(said).toHaveLength(2);
  health.tick();
  watchdog.beat();
  expect(said).toHaveLength(3);
  store.close();
  watchdog.beat();
  expect(said).toHaveLength(3);
  expect(health.vitals().database).toBe('failing');
  expect(health.problems().join(' ')).toContain('Nothing can be written down');
  health.close();
});

it('a disk that fills up is said before it is full', () => {
  const store = openStore(':memory:');
  const health = feelPulse(
    store,
    '.',
    () => 0,
    () => 50 * 1024 * 1024,
  );
  expect(health.problems()).toEqual([expect.stringContaining('50 MiB are left')]);
  health.close();
  store.close();
});

it('signs of life come twice as often as they are wanted, and only where they are', () => {
  expect(beatEveryMs({ NOTIFY_SOCKET: '/run/x', WATCHDOG_USEC: '180000000' })).toBe(90_000);
  expect(beatEveryMs({ WATCHDOG_USEC: '180000000' })).toBeNull();
  expect(beatEveryMs({ NOTIFY_SOCKET: '/run/x' })).toBeNull();
  expect(beatEveryMs({ NOTIFY_SOCKET: '/run/x', WATCHDOG_USEC: 'soon' })).toBeNull();
});
