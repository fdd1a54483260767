import { triangulateFaces } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize, vec3At } from '../math/index.js';
import type { EdgeId, Mesh } from '../mesh/index.js';
import {
  computeFaceGeometry,
  computeVertexPositions,
  EdgeFinder,
  edgeVertices,
  isBorderEdge,
} from '../mesh/index.js';
import type { DrawnSet } from './drawn-set.js';
import { encodePng } from './encode-png.js';
import { BORDER_STYLE, PAPER, parseColour } from './palette.js';
import type { Raster } from './raster.js';
import { copyRaster, createRaster, drawLine, fillTriangle, halve, joinRows } from './raster.js';
import { styleSeams } from './seam-styles.js';
import type { SurfaceView } from './surface-view.js';

export interface DrawSurfaceOptions {
  /** Width of one view in pixels, a whole number from 16 to 4096. @defaultValue 480 */
  readonly width?: number;
  /** Height of one view in pixels, a whole number from 16 to 4096. @defaultValue 600 */
  readonly height?: number;
}

export const DRAW_SURFACE_DEFAULTS: Readonly<Required<DrawSurfaceOptions>> = Object.freeze({
  width: 480,
  height: 600,
});

/** Drawn at twice the size and averaged, which smooths edges. */
const OVERSAMPLING = 2;
const LINE_WIDTH = 2.4 * OVERSAMPLING;
const FRONT_CLAY: Vec3 = [236, 229, 216];
const BACK_CLAY: Vec3 = [176, 170, 160];

/**
 * Draws the model with its seams, without perspective, as a PNG file; several views stand side by side.
 *
 * @returns the same bytes for the same input
 *
 * Linear in the size of the mesh and of the picture.
 */
export function drawSurface(
  mesh: Mesh,
  set: DrawnSet,
  views: SurfaceView | readonly SurfaceView[],
  options: DrawSurfaceOptions = {},
): Uint8Array {
  return new SurfacePainter(mesh, options).draw(set, 'eye' in views ? [views] : views);
}

/** The model from one direction, before any seam is drawn. */
interface Backdrop {
  readonly raster: Raster;
  /** x, y, depth in pixels of every vertex. */
  readonly screen: Float64Array;
  /** How far a line may lie behind the surface and still show, in depth units. */
  readonly bias: number;
}

/** Draws several sets of one mesh; the model itself is drawn once for each view. */
export class SurfacePainter {
  readonly #mesh: Mesh;
  readonly #finder: EdgeFinder;
  readonly #width: number;
  readonly #height: number;
  readonly #backdrops = new Map<SurfaceView, Backdrop>();

  constructor(mesh: Mesh, options: DrawSurfaceOptions = {}) {
    this.#mesh = mesh;
    this.#finder = new EdgeFinder(mesh);
    this.#width = options.width ?? DRAW_SURFACE_DEFAULTS.width;
    this.#height = options.height ?? DRAW_SURFACE_DEFAULTS.height;
  }

  /** The set from each of the views, side by side, as a PNG file. */
  draw(set: DrawnSet, views: readonly SurfaceView[]): Uint8Array {
    const pictures = views.map((view) => {
      let backdrop = this.#backdrops.get(view);
      if (!backdrop) {
        backdrop = drawBackdrop(this.#mesh, view, this.#width * OVERSAMPLING, this.#height * OVERSAMPLING);
        this.#backdrops.set(view, backdrop);
      }
      const raster = copyRaster(backdrop.raster);
      this.#drawSeams(set, { ...backdrop, raster });
      return halve(raster);
    });
    return encodePng(this.#width * views.length, this.#height, joinRows(pictures, 3 * this.#width));
  }

  #drawSeams(set: DrawnSet, { raster, screen, bias }: Backdrop): void {
    styleSeams(set.seams).forEach((style, index) => {
      const colour = parseColour(style.colour);
      const dash =
        style.dash === '' ? undefined : style.dash.split(' ').map((part) => Number(part) * LINE_WIDTH);
      let start = 0;
      for (const [p, q] of set.seams[index]!.edges) {
        for (const e of this.#finder.find(p, q)) {
          const ends = lineEnds(this.#mesh, e);
          drawLine(raster, screen, { ...ends, colour, width: LINE_WIDTH, dash, start, bias });
          start += Math.hypot(
            screen[ends.to]! - screen[ends.from]!,
            screen[ends.to + 1]! - screen[ends.from + 1]!,
          );
        }
      }
    });
  }
}

/** The bare model with its open edges. */
function drawBackdrop(mesh: Mesh, view: SurfaceView, width: number, height: number): Backdrop {
  const raster = createRaster(width, height, parseColour(PAPER));
  const eye = normalize(view.eye);
  const right = normalize(cross(view.up, eye));
  const up = cross(eye, right);
  const { screen, scale } = project(mesh, [right, up, eye], width, height);
  const { faceNormals } = computeFaceGeometry(mesh);
  const light = normalize([
    eye[0] + 0.5 * up[0] - 0.35 * right[0],
    eye[1] + 0.5 * up[1] - 0.35 * right[1],
    eye[2] + 0.5 * up[2] - 0.35 * right[2],
  ]);
  const { triangleVertices, triangleFaces } = triangulateFaces(mesh);
  for (let t = 0; t < triangleFaces.length; t++) {
    const normal = vec3At(faceNormals, triangleFaces[t]!);
    const shade = 0.58 + 0.42 * Math.abs(dot(normal, light));
    const clay = dot(normal, eye) >= 0 ? FRONT_CLAY : BACK_CLAY;
    fillTriangle(
      raster,
      screen,
      [3 * triangleVertices[3 * t]!, 3 * triangleVertices[3 * t + 1]!, 3 * triangleVertices[3 * t + 2]!],
      [clay[0] * shade, clay[1] * shade, clay[2] * shade],
    );
  }
  const bias = 0.006 * mesh.diagonal * scale;
  const colour = parseColour(BORDER_STYLE.colour);
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (isBorderEdge(mesh, e))
      drawLine(raster, screen, { ...lineEnds(mesh, e), colour, width: LINE_WIDTH / 2, bias });
  }
  return { raster, screen, bias };
}

function lineEnds(mesh: Mesh, e: EdgeId): { from: number; to: number } {
  const [a, b] = edgeVertices(mesh, e);
  return { from: 3 * a, to: 3 * b };
}

/** x, y, depth in pixels of every vertex, the model centred and as large as fits. */
function project(
  mesh: Mesh,
  axes: readonly [Vec3, Vec3, Vec3],
  width: number,
  height: number,
): { screen: Float64Array; scale: number } {
  const positions = computeVertexPositions(mesh);
  const screen = new Float64Array(positions.length);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let v = 0; v < mesh.vertexCount; v++) {
    const p = vec3At(positions, v);
    for (let k = 0; k < 3; k++) {
      const value = dot(p, axes[k]!);
      screen[3 * v + k] = value;
      low[k] = Math.min(low[k]!, value);
      high[k] = Math.max(high[k]!, value);
    }
  }
  const span = (k: number) => Math.max(high[k]! - low[k]!, 1e-9 * mesh.diagonal);
  const scale = Math.min((0.92 * width) / span(0), (0.92 * height) / span(1));
  for (let v = 0; v < mesh.vertexCount; v++) {
    screen[3 * v] = width / 2 + scale * (screen[3 * v]! - (low[0]! + high[0]!) / 2);
    screen[3 * v + 1] = height / 2 - scale * (screen[3 * v + 1]! - (low[1]! + high[1]!) / 2);
    screen[3 * v + 2] = scale * (screen[3 * v + 2]! - low[2]!);
  }
  return { screen, scale };
}
