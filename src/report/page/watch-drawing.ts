import type { WebGLRenderer } from 'three';

/** Marks where drawing is now; the returned function tells whether the graphics card has come so far. */
export function watchDrawing(renderer: WebGLRenderer): () => boolean {
  const gl = renderer.getContext() as WebGL2RenderingContext;
  let sync = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  gl.flush();
  return () => {
    if (!sync) return true;
    if (gl.getSyncParameter(sync, gl.SYNC_STATUS) === gl.UNSIGNALED) return false;
    gl.deleteSync(sync);
    sync = null;
    return true;
  };
}
