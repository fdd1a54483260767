import type { WebGLRenderer } from 'three';
import {
  GLSL3,
  Mesh,
  NoBlending,
  OrthographicCamera,
  PlaneGeometry,
  ShaderMaterial,
  WebGLRenderTarget,
} from 'three';

const LAY_VERTEX = `
out vec2 vAt;
void main() {
  vAt = uv;
  gl_Position = vec4(position.xy, 0.0, 1.0);
}
`;

const LAY_FRAGMENT = `
in vec2 vAt;
uniform sampler2D uPicture;
out vec4 colour;
void main() { colour = texture(uPicture, vAt); }
`;

/** Samples of a pixel at rest. */
const SAMPLES = 4;

/** A panel's window on the canvas, pixels of the page from the lower left. */
export interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/**
 * A panel's picture: at rest drawn aside with several samples a pixel and then laid on the canvas; on the move drawn on
 * the canvas itself. Aside with half as many pixels a side and then laid, the stand-in took as long in software, 57 ms
 * of processor time with all that the browser does to show it, and was blurred.
 */
export class PanelPicture {
  readonly #whole = new WebGLRenderTarget(1, 1, { samples: SAMPLES });
  readonly #sheet: Mesh;
  readonly #material: ShaderMaterial;
  readonly #camera = new OrthographicCamera();

  constructor() {
    this.#material = new ShaderMaterial({
      glslVersion: GLSL3,
      vertexShader: LAY_VERTEX,
      fragmentShader: LAY_FRAGMENT,
      blending: NoBlending,
      depthTest: false,
      depthWrite: false,
      uniforms: { uPicture: { value: undefined } },
    });
    this.#sheet = new Mesh(new PlaneGeometry(2, 2), this.#material);
    this.#sheet.frustumCulled = false;
  }

  /**
   * @param paint - draws the panel; told how many pixels of the picture there are in a pixel of the page
   * @returns triangles drawn
   */
  draw(renderer: WebGLRenderer, place: Place, isCoarse: boolean, paint: (ratio: number) => void): number {
    const ratio = renderer.getPixelRatio();
    const { x, y, width, height } = place;
    const toCanvas = () => {
      renderer.setRenderTarget(null);
      renderer.setViewport(x, y, width, height);
      renderer.setScissor(x, y, width, height);
      renderer.setScissorTest(true);
    };
    if (isCoarse) toCanvas();
    else {
      const target = this.#whole;
      target.setSize(Math.max(1, Math.round(width * ratio)), Math.max(1, Math.round(height * ratio)));
      renderer.setRenderTarget(target);
      renderer.setScissorTest(false);
    }
    renderer.clear();
    renderer.info.reset();
    paint(ratio);
    const { triangles } = renderer.info.render;
    if (!isCoarse) {
      toCanvas();
      this.#material.uniforms.uPicture!.value = this.#whole.texture;
      renderer.render(this.#sheet, this.#camera);
    }
    return triangles;
  }
}
