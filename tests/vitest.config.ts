import { defineConfig } from 'vitest/config';

export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['{src,tests}/**/*.test.{ts,tsx}'],
    globalSetup: ['tests/stage/one-temp-folder.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
});
