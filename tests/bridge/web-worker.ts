// Runs inside a Web Worker of a page; tests/bridge/browser.test.ts bundles it.
import { BridgeSession, createInlineRunner } from '../../src/bridge/index.js';
import { arrangeCharts, buildMesh, flattenCharts, proposeSeams } from '../../src/index.js';

interface WorkRequest {
  readonly points: Float64Array;
  readonly faceVertexCounts: Int32Array;
  readonly faceVertexIndices: Int32Array;
}

const scope = globalThis as unknown as {
  postMessage: (message: unknown, transfer?: Transferable[]) => void;
  onmessage: (event: { data: { kind: string; mesh?: WorkRequest; text?: string } }) => void;
};
type Transferable = ArrayBuffer;

let abort = new AbortController();

const session = new BridgeSession({
  runner: createInlineRunner(),
  version: '0',
  send: (body) => scope.postMessage({ kind: 'rpc', text: new TextDecoder().decode(body) }),
});

scope.onmessage = ({ data }) => {
  if (data.kind === 'rpc') session.receive(new TextEncoder().encode(data.text));
  else if (data.kind === 'cancel') abort.abort();
  else {
    abort = new AbortController();
    work(data.mesh!).catch((error: { code?: string; message: string }) =>
      scope.postMessage({ kind: 'failed', code: error.code, message: error.message }),
    );
  }
};

async function work(input: WorkRequest): Promise<void> {
  const mesh = buildMesh(input);
  const { signal } = abort;
  const proposal = await proposeSeams(mesh, {
    sets: 1,
    signal,
    onProgress: (share) => scope.postMessage({ kind: 'progress', share }),
  });
  const [set] = proposal.sets;
  const flat = flattenCharts(mesh, set!, { signal });
  const { uvs } = arrangeCharts(mesh, flat, { effort: 0, signal });
  const edges = Int32Array.from(set!.seams.flatMap((seam) => seam.edges.flat()));
  scope.postMessage({ kind: 'done', edges, uvs }, [edges.buffer as ArrayBuffer, uvs.buffer as ArrayBuffer]);
  // What was transferred is gone from here.
  scope.postMessage({ kind: 'left', bytes: uvs.byteLength });
}
