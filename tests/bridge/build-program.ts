import { copyFileSync, existsSync, mkdirSync, symlinkSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { build } from 'esbuild';
import { esbuildPagePlugin } from '../../.ci/page-plugin.js';

const ROOT = resolve(import.meta.dirname, '../..');

/**
 * Builds the program from the sources into a folder, laid out as the package is, and returns its main file. The
 * farm finds its queue library where this repository has it.
 */
export async function buildProgram(folder: string): Promise<string> {
  mkdirSync(join(folder, 'dist'), { recursive: true });
  await build({
    absWorkingDir: ROOT,
    entryPoints: {
      'cli/main': 'src/cli/main.ts',
      'cli/worker': 'src/cli/worker.ts',
      'farm/index': 'src/farm/index.ts',
    },
    outdir: join(folder, 'dist'),
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'es2022',
    external: ['bullmq', 'ioredis'],
    plugins: [esbuildPagePlugin],
    logLevel: 'error',
  });
  copyFileSync(join(ROOT, 'package.json'), join(folder, 'package.json'));
  const modules = join(folder, 'node_modules');
  if (!existsSync(modules)) symlinkSync(join(ROOT, 'node_modules'), modules, 'junction');
  return join(folder, 'dist/cli/main.js');
}
