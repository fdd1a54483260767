import {
  BufferAttribute,
  BufferGeometry,
  Color,
  DoubleSide,
  GLSL3,
  GreaterDepth,
  LessEqualDepth,
  Mesh,
  NoBlending,
  Points,
  ShaderMaterial,
  Vector2,
  Vector4,
} from 'three';
import type { ReviewSet } from '../review/review-model.js';
import type { PageMesh } from './page-mesh.js';
import { DOT_FRAGMENT, DOT_VERTEX, LINE_FRAGMENT, LINE_PICK_FRAGMENT, LINE_VERTEX } from './shaders.js';
import type { StandIn } from './stand-in.js';
import type { PlaceUniforms } from './surface-object.js';

/** Edges drawn alike: each by the corner it leaves from. */
export interface LineGroup {
  readonly corners: readonly number[];
  readonly colour: string;
  /** Dash and gap in line widths; empty for a whole line. */
  readonly dash: string;
}

/** Length of one line width along the line, in page units: dashes keep their place on the surface. */
const DASH_UNIT = 0.006;

/** Along and across the edge, for each corner of its strip, and the strip's two triangles. */
const STRIP_PLACES = [0, -1, 0, 1, -1, 0, 0, 1, 0, 1, 1, 0];
const STRIP_CORNERS = [0, 1, 2, 2, 1, 3];

/** Lines along edges, in step with the surface; a group's number is told when it is picked. */
export class LineObject {
  readonly casing: Mesh;
  readonly line: Mesh;
  /** What lies behind the surface, faintly. */
  readonly far: Mesh;
  readonly pick: ShaderMaterial;
  readonly #size = new Vector2(1, 1);
  readonly #width: number;
  readonly #whole: BufferGeometry;
  readonly #reduce: (standIn: StandIn) => BufferGeometry;
  #coarse: BufferGeometry | undefined;

  constructor(
    mesh: PageMesh,
    set: ReviewSet,
    groups: readonly LineGroup[],
    place: PlaceUniforms,
    width: number,
  ) {
    this.#width = width;
    const geometry = buildLines(mesh, set, groups);
    this.#whole = geometry;
    this.#reduce = ({ corners }) => buildLines(mesh, set, groups, corners);
    const make = (
      extra: object,
      uniforms: Record<string, { value: unknown }>,
      fragmentShader = LINE_FRAGMENT,
    ) =>
      new ShaderMaterial({
        glslVersion: GLSL3,
        vertexShader: LINE_VERTEX,
        fragmentShader,
        side: DoubleSide,
        transparent: true,
        depthWrite: false,
        ...extra,
        uniforms: {
          ...place,
          uSize: { value: this.#size },
          uWidth: { value: width },
          uBias: { value: 0.0012 },
          uLit: { value: -1 },
          uAlpha: { value: 1 },
          uCasing: { value: new Vector4(0, 0, 0, 0) },
          ...uniforms,
        },
      });
    const mesh3 = (material: ShaderMaterial, order: number) => {
      const object = new Mesh(geometry, material);
      object.frustumCulled = false;
      object.renderOrder = order;
      return object;
    };
    this.far = mesh3(
      make({ depthFunc: GreaterDepth }, { uAlpha: { value: 0.22 }, uBias: { value: -0.0012 } }),
      1,
    );
    this.casing = mesh3(
      make(
        { depthFunc: LessEqualDepth },
        { uAlpha: { value: 0.9 }, uCasing: { value: new Vector4(1, 1, 1, 1) } },
      ),
      2,
    );
    this.line = mesh3(make({ depthFunc: LessEqualDepth }, { uBias: { value: 0.0013 } }), 3);
    this.pick = make(
      { depthWrite: true, blending: NoBlending, transparent: false },
      { uBias: { value: 0.002 } },
      LINE_PICK_FRAGMENT,
    );
  }

  /** Fits the widths to a picture of so many pixels of the page; `lit` is a group's number or -1. */
  prepare(width: number, height: number, lit: number, casing: string): void {
    this.#size.set(width / 2, height / 2);
    for (const object of [this.line, this.casing, this.far]) uniformsOf(object).uLit!.value = lit;
    const { r, g, b } = new Color().setStyle(casing, '');
    (uniformsOf(this.casing).uCasing!.value as Vector4).set(r, g, b, 1);
    uniformsOf(this.casing).uWidth!.value = this.#width / 2 + 1.4;
    uniformsOf(this.line).uWidth!.value = this.#width / 2;
    uniformsOf(this.far).uWidth!.value = this.#width / 2;
    this.pick.uniforms.uWidth!.value = 5;
  }

  /** Draws the lines along the stand-in from now on, or along the surface itself. */
  use(standIn: StandIn | undefined): void {
    const geometry = standIn ? (this.#coarse ??= this.#reduce(standIn)) : this.#whole;
    for (const object of [this.line, this.casing, this.far]) object.geometry = geometry;
  }

  dispose(): void {
    this.#whole.dispose();
    this.#coarse?.dispose();
    for (const object of [this.line, this.casing, this.far]) (object.material as ShaderMaterial).dispose();
    this.pick.dispose();
  }
}

const uniformsOf = (object: Mesh) => (object.material as ShaderMaterial).uniforms;

/** @param standIns - the corner that stands for each, where the lines are to lie on a stand-in */
function buildLines(
  mesh: PageMesh,
  set: ReviewSet,
  groups: readonly LineGroup[],
  standIns?: Int32Array,
): BufferGeometry {
  const standIn = (corner: number) => standIns?.[corner] ?? corner;
  const isThere = (corner: number) =>
    mesh.cornerPoints[standIn(corner)] !== mesh.cornerPoints[standIn(mesh.nextCorner(corner))];
  const count = groups.reduce((sum, group) => sum + group.corners.filter(isThere).length, 0);
  const arrays = {
    from: new Float32Array(3 * count),
    to: new Float32Array(3 * count),
    sheetEnds: new Float32Array(4 * count),
    run: new Float32Array(4 * count),
    tint: new Float32Array(3 * count),
    dash: new Float32Array(2 * count),
  };
  let i = 0;
  groups.forEach(({ corners, colour, dash }, id) => {
    const { r, g, b } = new Color().setStyle(colour, '');
    const [on = 0, off = 0] = dash === '' ? [] : dash.split(' ').map((part) => Number(part) * DASH_UNIT);
    // Both sides of an edge, one after the other, have the same place along the seam.
    const starts = new Map<string, number>();
    let end = 0;
    for (const edge of corners) {
      if (!isThere(edge)) continue;
      const corner = standIn(edge);
      const next = standIn(mesh.nextCorner(edge));
      const [p, q] = [mesh.cornerPoints[corner]!, mesh.cornerPoints[next]!];
      for (let k = 0; k < 3; k++) {
        arrays.from[3 * i + k] = mesh.positions[3 * p + k]!;
        arrays.to[3 * i + k] = mesh.positions[3 * q + k]!;
      }
      arrays.sheetEnds.set(
        [set.uvs[2 * corner]!, set.uvs[2 * corner + 1]!, set.uvs[2 * next]!, set.uvs[2 * next + 1]!],
        4 * i,
      );
      const key = p < q ? `${p} ${q}` : `${q} ${p}`;
      const length = Math.hypot(...[0, 1, 2].map((k) => arrays.to[3 * i + k]! - arrays.from[3 * i + k]!));
      const start = starts.get(key) ?? end;
      if (!starts.has(key)) {
        starts.set(key, start);
        end += length;
      }
      const isLaid = Number.isFinite(set.uvs[2 * corner]! + set.uvs[2 * next]!);
      arrays.run.set(
        [isLaid ? set.faceCharts[mesh.cornerFaces[corner]!]! : -1, id, start, start + length],
        4 * i,
      );
      arrays.tint.set([r, g, b], 3 * i);
      arrays.dash.set([on, off], 2 * i);
      i++;
    }
  });
  // Each edge is a strip of its own: instances cost a renderer in software a draw each, 200 ms for 5,000 edges.
  const geometry = new BufferGeometry();
  const strips = Uint32Array.from(
    { length: 6 * count },
    (_, k) => 4 * Math.floor(k / 6) + STRIP_CORNERS[k % 6]!,
  );
  geometry.setIndex(new BufferAttribute(strips, 1));
  const places = Float32Array.from({ length: 12 * count }, (_, k) => STRIP_PLACES[k % 12]!);
  geometry.setAttribute('position', new BufferAttribute(places, 3));
  for (const [name, array] of Object.entries(arrays))
    geometry.setAttribute(name, spread(array, array.length / Math.max(1, count)));
  return geometry;
}

/** An attribute of edges as one of the four corners of each one's strip. */
function spread(values: Float32Array, size: number): BufferAttribute {
  const wide = new Float32Array(4 * values.length);
  for (let i = 0; i < values.length; i += size)
    for (let k = 0; k < 4; k++) wide.set(values.subarray(i, i + size), 4 * i + k * size);
  return new BufferAttribute(wide, size);
}

/** A mark at a point: kind 0 is a waypoint, kind 1 a pin. */
export interface Dot {
  readonly corners: readonly number[];
  readonly kind: 0 | 1;
}

/** Marks at points, in step with the surface. */
export function makeDots(mesh: PageMesh, set: ReviewSet, dots: readonly Dot[], place: PlaceUniforms): Points {
  const corners = dots.flatMap((dot) => dot.corners.map((corner) => [corner, dot.kind] as const));
  const geometry = new BufferGeometry();
  const position = corners.flatMap(([c]) => {
    const p = 3 * mesh.cornerPoints[c]!;
    return [mesh.positions[p]!, mesh.positions[p + 1]!, mesh.positions[p + 2]!];
  });
  const add = (name: string, values: number[], size: number) =>
    geometry.setAttribute(name, new BufferAttribute(Float32Array.from(values), size));
  add('position', position, 3);
  add(
    'sheet',
    corners.flatMap(([c]) => [set.uvs[2 * c]!, set.uvs[2 * c + 1]!]),
    2,
  );
  add(
    'chart',
    corners.map(([c]) => set.faceCharts[mesh.cornerFaces[c]!]!),
    1,
  );
  add(
    'kind',
    corners.map(([, kind]) => kind),
    1,
  );
  const material = new ShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: DOT_VERTEX,
    fragmentShader: DOT_FRAGMENT,
    uniforms: {
      ...place,
      uPixels: { value: 1 },
      uBias: { value: 0.003 },
      uInk: { value: new Color().setStyle('#23211d', '') },
      uPaper: { value: new Color().setStyle('#ffffff', '') },
    },
  });
  const points = new Points(geometry, material);
  points.frustumCulled = false;
  points.renderOrder = 5;
  return points;
}
