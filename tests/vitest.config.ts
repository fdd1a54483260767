import { defineConfig } from 'vitest/config';
import { vitePagePlugin } from '../.ci/page-plugin.js';

export default defineConfig({
  plugins: [vitePagePlugin],
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/setup.ts'],
    testTimeout: 120_000,
    maxWorkers: '100%',
  },
});
