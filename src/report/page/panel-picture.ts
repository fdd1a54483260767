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
/** Pixels of a coarse picture in one of the page, along a side. */
const COARSE_RATIO = 0.7;

/** A panel's window on the canvas, pixels of the page from the lower left. */
export interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/**
 * A panel's picture, drawn aside and then laid on the canvas: smooth and in the screen's own pixels at rest; on the move
 * with one sample for each of fewer pixels, which costs a third as much in software.
 */
export class PanelPicture {
  readonly #whole = new WebGLRenderTarget(1, 1, { samples: SAMPLES });
  readonly #coarse = new WebGLRenderTarget(1, 1);
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
    const target = isCoarse ? this.#coarse : this.#whole;
    const ratio = isCoarse ? COARSE_RATIO : renderer.getPixelRatio();
    const { x, y, width, height } = place;
    target.setSize(Math.max(1, Math.round(width * ratio)), Math.max(1, Math.round(height * ratio)));
    renderer.setRenderTarget(target);
    renderer.setScissorTest(false);
    renderer.clear();
    renderer.info.reset();
    paint(ratio);
    const { triangles } = renderer.info.render;
    renderer.setRenderTarget(null);
    renderer.setViewport(x, y, width, height);
    renderer.setScissor(x, y, width, height);
    renderer.setScissorTest(true);
    this.#material.uniforms.uPicture!.value = target.texture;
    renderer.render(this.#sheet, this.#camera);
    return triangles;
  }
}
