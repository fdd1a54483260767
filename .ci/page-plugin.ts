import { createHash } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import type { Plugin } from 'esbuild';
import { build } from 'esbuild';

/** Name by which src/report imports the script of the review page. */
const NAME = 'virtual:review-page';
const ENTRY = fileURLToPath(new URL('../src/report/page/main.ts', import.meta.url));

let text: Promise<string> | undefined;

/** The module: the page's script, bundled for browsers into one text, and the hash that allows it to run. */
function pageModule(): Promise<string> {
  text ??= build({
    entryPoints: [ENTRY],
    bundle: true,
    minify: true,
    write: false,
    format: 'iife',
    target: 'es2022',
    charset: 'ascii',
    legalComments: 'eof',
    banner: { js: '/* fflate: MIT, (c) Arjun Barrett */' },
  }).then(({ outputFiles }) => {
    // An end tag inside a string would end the script element.
    const script = outputFiles[0]!.text
      .trim()
      .replaceAll('</script', '<\\/script')
      .replaceAll('<!--', '<\\!--');
    const hash = `sha256-${createHash('sha256').update(script).digest('base64')}`;
    return `export const pageScript = ${JSON.stringify(script)};\nexport const pageScriptHash = ${JSON.stringify(hash)};\n`;
  });
  return text;
}

/** For tsup. */
export const esbuildPagePlugin: Plugin = {
  name: 'review-page',
  setup(pipeline) {
    pipeline.onResolve({ filter: new RegExp(`^${NAME}$`) }, () => ({ path: NAME, namespace: 'review-page' }));
    pipeline.onLoad({ filter: /.*/, namespace: 'review-page' }, async () => ({
      contents: await pageModule(),
      loader: 'js',
    }));
  },
};

/** For vitest. */
export const vitePagePlugin = {
  name: 'review-page',
  resolveId: (id: string) => (id === NAME ? `\0${NAME}` : undefined),
  load: (id: string) => (id === `\0${NAME}` ? pageModule() : undefined),
};
