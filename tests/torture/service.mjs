// The whole service killed 100 times at moments that a seed decides, under page posts, a feed on a real Mosquitto, mail and turns.
// Prints rounds, entries and violations; the list of what must hold stands in DEVELOPERS.md, "What a kill must not do".
// Run after a build: node tests/torture/service.mjs [rounds] [seed]
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const [rounds = '100', seed = '1'] = process.argv.slice(2);
const child = spawn(
  process.execPath,
  [
    'node_modules/vitest/vitest.mjs',
    'run',
    '--config',
    'tests/vitest.config.ts',
    'tests/edges/service-kill.test.ts',
    '--disable-console-intercept',
  ],
  {
    cwd: fileURLToPath(new URL('../..', import.meta.url)),
    stdio: 'inherit',
    env: { ...process.env, SHEDBELL_KILLS: rounds, SHEDBELL_SEED: seed },
  },
);
child.on('exit', (status) => {
  process.exitCode = status ?? 1;
});
