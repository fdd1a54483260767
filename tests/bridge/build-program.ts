import { copyFileSync, mkdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { build } from 'esbuild';
import { esbuildPagePlugin } from '../../page-plugin.js';

const ROOT = resolve(import.meta.dirname, '../..');

/** Builds the program from the sources into a folder, as the package holds it, and returns its main file. */
export async function buildProgram(folder: string): Promise<string> {
  mkdirSync(join(folder, 'dist'), { recursive: true });
  await build({
    absWorkingDir: ROOT,
    entryPoints: { 'cli/main': 'src/cli/main.ts', 'cli/worker': 'src/cli/worker.ts' },
    outdir: join(folder, 'dist'),
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'es2022',
    logLevel: 'error',
    plugins: [esbuildPagePlugin],
  });
  copyFileSync(join(ROOT, 'package.json'), join(folder, 'package.json'));
  return join(folder, 'dist/cli/main.js');
}
