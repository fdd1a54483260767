import { defineConfig } from 'vitest/config';
import { vitePagePlugin } from '../.ci/page-plugin.js';

export default defineConfig({
  plugins: [vitePagePlugin],
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/setup.ts'],
    // Long modes run a thousand cases where others run a few.
    testTimeout: process.env['SEAMWRIGHT_LONG'] ? 4 * 3_600_000 : 120_000,
    maxWorkers: '100%',
    // No test changes what others share; loading the modules anew for each file takes a fifth of the time.
    isolate: false,
    coverage: {
      provider: 'v8',
      reportsDirectory: 'coverage/lines',
      include: ['src/**/*.ts'],
      // Runs in browsers, in tests of its own: the script of the review page.
      exclude: ['src/report/page/**', 'src/**/*.d.ts'],
      reporter: ['text-summary', 'json-summary', 'json'],
      reportOnFailure: true,
      thresholds: { lines: 95 },
    },
  },
});
