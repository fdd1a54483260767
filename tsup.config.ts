import { copyFileSync, existsSync } from 'node:fs';
import type { Plugin } from 'esbuild';
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

/**
 * The predicates are bundled, being an ES module only, which neither Jest nor Node.js before `require(esm)` can require:
 * of them only the one that is used, as the others' scratch space would be made for nothing.
 */
const onePredicate: Plugin = {
  name: 'one-predicate',
  setup: (build) =>
    build.onResolve({ filter: /^(robust-predicates$|\.\/esm\/)/ }, async ({ path, pluginData, ...args }) => {
      if (pluginData === 'asked' || !(args.importer + path).includes('robust-predicates')) return undefined;
      const resolved = await build.resolve(path, { ...args, pluginData: 'asked' });
      return { ...resolved, sideEffects: false };
    }),
};

export default defineConfig(({ dts }) => [
  {
    // The command line shares its chunks with the library.
    entry: { ...entry, 'cli/main': 'src/cli/main.ts', 'cli/worker': 'src/cli/worker.ts' },
    format: ['esm'],
    target: 'es2022',
    splitting: true,
    esbuildPlugins: [esbuildPagePlugin, onePredicate],
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
    esbuildPlugins: [esbuildPagePlugin, onePredicate],
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
