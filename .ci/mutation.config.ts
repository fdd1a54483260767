import { defineConfig } from 'vitest/config';
import { vitePagePlugin } from './page-plugin.js';

/** One module's own tests only: what they miss, those of other modules must not hide. */
export default defineConfig({
  plugins: [vitePagePlugin],
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: [`tests/${process.env['SEAMWRIGHT_MODULE'] ?? '*'}/**/*.test.ts`],
    setupFiles: ['tests/setup.ts', '.ci/mutation-setup.ts'],
    testTimeout: 120_000,
  },
});
