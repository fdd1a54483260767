import { copyFileSync, existsSync } from 'node:fs';
import { defineConfig } from 'tsup';
import { esbuildPagePlugin } from './.ci/page-plugin.js';

/** One entry per subpath of the package. */
const entry = Object.fromEntries(
  [
    'index',
    'learning/index',
    'revising/index',
    'graphology/index',
    'io/index',
    'io/node/index',
    'report/index',
    'bridge/index',
    'farm/index',
    'testing/index',
  ]
    .map((name) => [name, `src/${name}.ts`] as const)
    .filter(([, file]) => existsSync(file)),
);

export default defineConfig(({ dts }) => [
  {
    // The command line shares its chunks with the library.
    entry: { ...entry, 'cli/main': 'src/cli/main.ts', 'cli/worker': 'src/cli/worker.ts' },
    format: ['esm'],
    target: 'es2022',
    splitting: true,
    esbuildPlugins: [esbuildPagePlugin],
    onSuccess: async () => {
      copyFileSync('src/io/exchange/schema.json', 'dist/exchange.schema.json');
      copyFileSync('src/cli/hints.schema.json', 'dist/hints.schema.json');
    },
  },
  {
    entry,
    format: ['cjs'],
    target: 'es2022',
    splitting: true,
    // The farm finds its worker's file beside its own.
    shims: true,
    // An ES module only, which neither Jest nor Node.js before `require(esm)` can require.
    noExternal: ['robust-predicates'],
    esbuildPlugins: [esbuildPagePlugin],
  },
  // With --no-dts this one would build the scripts a second time, into the same files at the same moment.
  ...(dts === false
    ? []
    : [
        {
          entry,
          format: ['esm' as const, 'cjs' as const],
          target: 'es2022' as const,
          dts: { only: true },
          esbuildPlugins: [esbuildPagePlugin],
        },
      ]),
]);
