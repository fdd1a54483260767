import { type Mesh, type ShaderMaterial, type WebGLRenderer, WebGLRenderTarget } from 'three';

/** What is under each pixel of a panel's window, drawn once for each view: pointing then draws nothing. */
export class IdPicture {
  readonly #target = new WebGLRenderTarget(1, 1);
  #bytes = new Uint8Array(4);
  #width = 0;
  #key = '';

  /**
   * Draws the picture anew if the view is another than last time.
   *
   * @param key - tells the view from others
   * @param parts - what is drawn, each with the material that writes its numbers
   * @param draw - draws these with the view's camera
   */
  update(
    renderer: WebGLRenderer,
    { key, width, height }: { key: string; width: number; height: number },
    parts: readonly (readonly [Mesh, ShaderMaterial])[],
    draw: (objects: Mesh[]) => void,
  ): void {
    if (key === this.#key) return;
    this.#key = key;
    this.#width = Math.max(1, Math.round(width));
    const rows = Math.max(1, Math.round(height));
    this.#target.setSize(this.#width, rows);
    this.#bytes = new Uint8Array(4 * this.#width * rows);
    const kept = parts.map(([mesh]) => mesh.material);
    for (const [mesh, material] of parts) mesh.material = material;
    renderer.setRenderTarget(this.#target);
    renderer.setScissorTest(false);
    renderer.setClearColor(0x000000, 0);
    renderer.clear();
    draw(parts.map(([mesh]) => mesh));
    renderer.readRenderTargetPixels(this.#target, 0, 0, this.#width, rows, this.#bytes);
    renderer.setRenderTarget(null);
    parts.forEach(([mesh], i) => {
      mesh.material = kept[i]!;
    });
  }

  /** The face or the seam at a pixel, counted from the upper left; undefined where there is neither. */
  at(x: number, y: number): { readonly face: number; readonly seam: number } | undefined {
    const rows = this.#bytes.length / (4 * this.#width);
    const column = Math.min(this.#width - 1, Math.max(0, Math.floor(x)));
    const row = Math.min(rows - 1, Math.max(0, rows - 1 - Math.floor(y)));
    const i = 4 * (row * this.#width + column);
    const [r, g, b] = [this.#bytes[i]!, this.#bytes[i + 1]!, this.#bytes[i + 2]!];
    if (r === 0 && g === 0 && b === 0) return undefined;
    if (b >= 128) return { face: -1, seam: r + 256 * g - 1 };
    return { face: r + 256 * g + 65536 * b - 1, seam: -1 };
  }
}
