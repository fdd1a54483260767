import { defineConfig } from 'tsup';

export default defineConfig([
  {
    entry: {
      index: 'src/index.ts',
      'io/index': 'src/io/index.ts',
      'io/node/index': 'src/io/node/index.ts',
      'report/index': 'src/report/index.ts',
      'testing/index': 'src/testing/index.ts',
    },
    format: ['esm', 'cjs'],
    dts: true,
    clean: true,
    target: 'es2022',
    splitting: true,
    sourcemap: false,
  },
  {
    entry: { 'cli/main': 'src/cli/main.ts' },
    format: ['esm'],
    dts: false,
    clean: false,
    target: 'node20',
    banner: { js: '#!/usr/bin/env node' },
  },
]);
