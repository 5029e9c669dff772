// The feed of the built service as a program of its own, so that a test can kill it: state in one file, replaced as a whole.
// Arguments: one JSON text { url, protocol, home, machine, stateFile, killAt, killWhen, last }.
import { randomUUID } from 'node:crypto';
import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';

const built = process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url).href;
const { openBroker } = await import(`${built}broker/connection.js`);
const { watchFeeds } = await import(`${built}feed/watch.js`);
const { parseFeedState } = await import(`${built}feed/state.js`);

const { url, protocol, home, machine, stateFile, killAt, killWhen, last } = JSON.parse(process.argv[2] ?? '{}');
const say = (word) => process.stdout.write(`${word}\n`);
const quiet = () => undefined;
const log = { error: quiet, warn: quiet, info: quiet, debug: quiet };
let kept = 0;

/** No chance to acknowledge, to close, or to write anything more. */
function die() {
  process.kill(process.pid, 'SIGKILL');
  for (;;);
}

const hand = {
  load: () => (existsSync(stateFile) ? parseFeedState(JSON.parse(readFileSync(stateFile, 'utf8')).state) : null),
  keep(_machine, entry) {
    kept += 1;
    if (kept === killAt && killWhen === 'before') die();
    writeFileSync(
      `${stateFile}.new`,
      JSON.stringify({ state: JSON.stringify(entry.state), totalSeconds: entry.totalSeconds }),
    );
    renameSync(`${stateFile}.new`, stateFile);
    if (kept === killAt && killWhen === 'after') die();
    if (entry.state.counting.track?.maxSeconds === last) say('done');
  },
  refusals: () => null,
  keepRefusals: quiet,
};
const broker = openBroker(
  { url, protocol, clientId: 'shedbell-child' },
  { clock: { nowMs: () => Date.now() }, log, random: () => 0, pace: { leastMs: 20, mostMs: 100 } },
);
watchFeeds({
  broker,
  home: { ...home, machines: [machine] },
  clock: { nowMs: () => Date.now() },
  monotonicMs: () => performance.now(),
  boot: randomUUID(),
  notBeforeMs: 0,
  log,
  hand,
});
broker.onConnect(() => say('connected'));
broker.connect();
