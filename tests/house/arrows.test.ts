import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, test } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const depcruise = join(root, 'node_modules/.bin/depcruise');
const config = join(root, '.dependency-cruiser.cjs');
// A tree of its own, so that a planted arrow never stands in the real one.
const planted = join(root, 'node_modules/.cache/planted-arrows');

afterAll(() => rmSync(planted, { recursive: true, force: true }));

test('every folder imports only what its row in the map names', () => {
  execFileSync(depcruise, ['--config', config, 'src'], { cwd: root, stdio: 'pipe' });
});

test.each([
  ['hours', "import '../store/open.js';", 'hours-imports-only-what-its-row-names'],
  ['pages', "import '../store/open.js';", 'pages-imports-only-what-its-row-names'],
  ['visits', "import 'node:fs';", 'pure-folders-have-no-outside'],
])('a forbidden import planted in %s is refused', (folder, line, rule) => {
  rmSync(planted, { recursive: true, force: true });
  mkdirSync(join(planted, 'src', folder), { recursive: true });
  mkdirSync(join(planted, 'src/store'), { recursive: true });
  writeFileSync(join(planted, 'package.json'), '{"type":"module"}');
  writeFileSync(join(planted, 'tsconfig.json'), '{"compilerOptions":{"module":"NodeNext"}}');
  writeFileSync(join(planted, 'src/store/open.ts'), 'export const open = 1;\n');
  writeFileSync(join(planted, 'src', folder, 'planted.ts'), `${line}\n`);
  const answer = spawnSync(depcruise, ['--config', config, 'src'], { cwd: planted, encoding: 'utf8' });
  expect(answer.status).not.toBe(0);
  expect(answer.stdout).toContain(rule);
});
