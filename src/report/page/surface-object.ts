import {
  BufferAttribute,
  BufferGeometry,
  Color,
  DataTexture,
  DoubleSide,
  FloatType,
  GLSL3,
  type IUniform,
  Mesh,
  NearestFilter,
  NoBlending,
  RGBAFormat,
  ShaderMaterial,
  Vector2,
} from 'three';
import type { ReviewSet } from '../review/review-model.js';
import type { ChartFrames } from './chart-frames.js';
import { FRAME_ROW, FRAME_TEXELS } from './chart-frames.js';
import type { PageMesh } from './page-mesh.js';
import { SURFACE_FRAGMENT, SURFACE_PICK_FRAGMENT, SURFACE_VERTEX } from './shaders.js';
import type { StandIn } from './stand-in.js';

/** Faces in a row of the texture of face colours. */
const FACE_ROW = 2048;

/** Uniforms that place a vertex; one object is shared by all that is drawn of a set. */
export type PlaceUniforms = Record<'uFrames' | 'uOpen' | 'uCarry' | 'uSheetSize' | 'uSheetCentre', IUniform>;

/** The place uniforms of a set, closed at first. */
export function makePlaceUniforms(frames: ChartFrames): PlaceUniforms {
  const texture = new DataTexture(
    frames.values,
    FRAME_TEXELS * FRAME_ROW,
    frames.rowCount,
    RGBAFormat,
    FloatType,
  );
  texture.needsUpdate = true;
  return {
    uFrames: { value: texture },
    uOpen: { value: 0 },
    uCarry: { value: 0 },
    uSheetSize: { value: frames.sheetSize },
    uSheetCentre: { value: new Vector2(...frames.sheetCentre) },
  };
}

/** What all sets share of the surface: one vertex for each corner of each triangle. */
export function makeSharedAttributes(mesh: PageMesh): Record<string, BufferAttribute> {
  const count = mesh.triangles.length;
  const positions = new Float32Array(3 * count);
  const normals = new Int8Array(3 * count);
  const faces = new Float32Array(count);
  const rims = new Uint8Array(3 * count).fill(255);
  const smooth = mesh.computeNormals();
  for (let i = 0; i < count; i++) {
    const corner = mesh.triangles[i]!;
    const p = 3 * mesh.cornerPoints[corner]!;
    for (let k = 0; k < 3; k++) {
      positions[3 * i + k] = mesh.positions[p + k]!;
      normals[3 * i + k] = Math.round(127 * smooth[p + k]!);
    }
    faces[i] = mesh.cornerFaces[corner]!;
    // Each side of the triangle has the number of the corner across; only real edges of the face fall to 0.
    const t = i - (i % 3);
    const next = mesh.triangles[t + ((i + 1) % 3)]!;
    if (mesh.nextCorner(corner) !== next && mesh.nextCorner(next) !== corner) continue;
    const across = (i + 2) % 3;
    rims[3 * i + across] = 0;
    rims[3 * (t + ((i + 1) % 3)) + across] = 0;
  }
  return {
    position: new BufferAttribute(positions, 3),
    smoothNormal: new BufferAttribute(normals, 3, true),
    face: new BufferAttribute(faces, 1),
    rim: new BufferAttribute(rims, 3, true),
  };
}

/** The surface of one set with a colour for each face. */
export class SurfaceObject {
  readonly object: Mesh;
  readonly pick: ShaderMaterial;
  readonly material: ShaderMaterial;
  /** Counts how often it was painted. */
  paintCount = 0;
  readonly #full: BufferGeometry;
  #coarse: BufferGeometry | undefined;
  readonly #colours: Uint8Array;
  readonly #texture: DataTexture;

  constructor(mesh: PageMesh, set: ReviewSet, shared: Record<string, BufferAttribute>, place: PlaceUniforms) {
    const count = mesh.triangles.length;
    const sheet = new Float32Array(2 * count);
    const charts = new Float32Array(count);
    for (let i = 0; i < count; i++) {
      const corner = mesh.triangles[i]!;
      sheet[2 * i] = set.uvs[2 * corner]!;
      sheet[2 * i + 1] = set.uvs[2 * corner + 1]!;
      charts[i] = Number.isFinite(sheet[2 * i]!) ? set.faceCharts[mesh.cornerFaces[corner]!]! : -1;
    }
    const geometry = new BufferGeometry();
    for (const [name, attribute] of Object.entries(shared)) geometry.setAttribute(name, attribute);
    geometry.setAttribute('sheet', new BufferAttribute(sheet, 2));
    geometry.setAttribute('chart', new BufferAttribute(charts, 1));
    const rows = Math.max(1, Math.ceil(mesh.faceCount / FACE_ROW));
    this.#colours = new Uint8Array(4 * FACE_ROW * rows).fill(255);
    this.#texture = new DataTexture(this.#colours, FACE_ROW, rows);
    this.#texture.magFilter = NearestFilter;
    this.#texture.needsUpdate = true;
    this.material = new ShaderMaterial({
      glslVersion: GLSL3,
      vertexShader: SURFACE_VERTEX,
      fragmentShader: SURFACE_FRAGMENT,
      side: DoubleSide,
      uniforms: {
        ...place,
        uShade: { value: this.#texture },
        uRelief: { value: 1 },
        uCloth: { value: 0 },
        uLines: { value: 0 },
        uLitChart: { value: -1 },
        uLitFace: { value: -1 },
        uInk: { value: new Color() },
      },
    });
    this.pick = new ShaderMaterial({
      glslVersion: GLSL3,
      vertexShader: SURFACE_VERTEX,
      fragmentShader: SURFACE_PICK_FRAGMENT,
      side: DoubleSide,
      blending: NoBlending,
      uniforms: place,
    });
    this.object = new Mesh(geometry, this.material);
    this.object.frustumCulled = false;
    this.#full = geometry;
  }

  /** Draws the stand-in from now on, or the surface itself. */
  use(standIn: StandIn | undefined): void {
    this.object.geometry = standIn ? (this.#coarse ??= this.#reduce(standIn)) : this.#full;
  }

  #reduce({ triangles }: StandIn): BufferGeometry {
    const coarse = new BufferGeometry();
    for (const [name, attribute] of Object.entries(this.#full.attributes))
      coarse.setAttribute(name, attribute);
    return coarse.setIndex(new BufferAttribute(triangles, 1));
  }

  /** Sets the colours of the faces: 3 bytes for each. */
  paint(colours: Uint8Array): void {
    for (let f = 0; 3 * f < colours.length; f++)
      for (let k = 0; k < 3; k++) this.#colours[4 * f + k] = colours[3 * f + k]!;
    this.#texture.needsUpdate = true;
    this.paintCount++;
  }
}
