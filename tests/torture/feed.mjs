// The long proof of the feed: 20 lives of a sensor under a real Mosquitto, 5,000 messages each, while service, broker and network are
// killed, cut and frozen at moments that a seed decides. Prints each round, then the number of rounds and the worst error.
// Run after a build: node tests/torture/feed.mjs [rounds] [messages] [seed]; about 12 minutes.
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const [rounds = '20', messages = '5000', seed = '1'] = process.argv.slice(2);
const root = fileURLToPath(new URL('../..', import.meta.url));
const child = spawn(
  process.execPath,
  [
    'node_modules/vitest/vitest.mjs',
    'run',
    '--config',
    'tests/vitest.config.ts',
    'tests/edges/feed-proof.test.ts',
    '--disable-console-intercept',
  ],
  {
    cwd: root,
    stdio: 'inherit',
    env: { ...process.env, SHEDBELL_ROUNDS: rounds, SHEDBELL_MESSAGES: messages, SHEDBELL_SEED: seed },
  },
);
child.on('exit', (status) => {
  process.exitCode = status ?? 1;
});
