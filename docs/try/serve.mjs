// Serves the page to try the library with a model of one's own: `npm run try`, to this machine only.
import { readFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const virtual = {
  name: 'no-page-script',
  // The page to try runs the same parts itself, so it carries no second copy of them as a text.
  setup: (pipeline) => {
    pipeline.onResolve({ filter: /^virtual:review-page$/ }, ({ path }) => ({ path, namespace: 'none' }));
    pipeline.onLoad({ filter: /.*/, namespace: 'none' }, () => ({
      contents: "export const pageScript = ''; export const pageScriptHash = '';",
    }));
  },
};
const { outputFiles } = await build({
  entryPoints: { page: here('main.ts'), worker: here('worker.ts') },
  outdir: '/',
  bundle: true,
  minify: true,
  write: false,
  format: 'iife',
  target: 'es2022',
  // The glTF library loads these in Node only.
  external: ['node:*'],
  plugins: [virtual],
});
const files = new Map([
  ['/', ['text/html', readFileSync(here('index.html'))]],
  ...outputFiles.map(({ path, contents }) => [
    `/${path.split(/[\\/]/).pop()}`,
    ['text/javascript', contents],
  ]),
]);
const server = createServer((request, response) => {
  const [type, content] = files.get(new URL(request.url, 'http://localhost').pathname) ?? [];
  response.writeHead(type ? 200 : 404, { 'content-type': `${type ?? 'text/plain'}; charset=utf-8` });
  response.end(content ?? 'not found\n');
});
server.listen(Number(process.argv[2] ?? 4180), '127.0.0.1', () => {
  process.stdout.write(`open http://127.0.0.1:${server.address().port}/ in a browser; Ctrl+C ends it\n`);
});
