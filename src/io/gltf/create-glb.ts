import type { Document } from '@gltf-transform/core';
import type { MeshInput } from '../../mesh/index.js';
import { checkCornerUvs } from '../corner-uvs.js';
import type { FaceGroup } from '../source-document.js';
import { triangulateFace } from '../triangulate-face.js';
import { loadGltfLibrary } from './library.js';
import { splitVertices } from './split-vertices.js';

export interface CreateGlbOptions {
  /** Groups; those of kind "material" become materials. @defaultValue none */
  readonly faceGroups?: readonly FaceGroup[];
  /** Axis of the points that points up; the node turns it to glTF's +Y. @defaultValue 'y' */
  readonly upAxis?: 'x' | 'y' | 'z';
  /** Metres of one unit of the points; the node scales to glTF's metres. @defaultValue 1 */
  readonly metersPerUnit?: number;
  /** Name of the mesh. @defaultValue 'mesh' */
  readonly name?: string;
}

/** Rotations that bring an axis to +Y, as quaternions x, y, z, w. */
const TO_Y_UP = Object.freeze({
  x: [0, 0, Math.SQRT1_2, Math.SQRT1_2],
  y: [0, 0, 0, 1],
  z: [-Math.SQRT1_2, 0, 0, Math.SQRT1_2],
} as const);

/**
 * A GLB of a mesh that came from another format: polygons cut into triangles, smooth normals, one vertex for
 * each point and UV, one primitive for each material.
 *
 * @param cornerUvs - 2 × cornerCount, lower-left origin; a corner with NaN gets 0, 0
 * @throws UV_INVALID
 */
export async function createGlb(
  mesh: MeshInput,
  cornerUvs: ArrayLike<number>,
  options: CreateGlbOptions = {},
): Promise<Uint8Array> {
  checkCornerUvs(cornerUvs, mesh.faceVertexIndices.length, 'createGlb');
  const { core, io } = await loadGltfLibrary();
  const flippedUvs = Float64Array.from(cornerUvs, (value, i) => (i % 2 === 0 ? value : 1 - value));
  const split = splitVertices(mesh.points.length / 3, mesh.faceVertexIndices, flippedUvs);
  const normals = computePointNormals(mesh);

  const document = new core.Document();
  const buffer = document.createBuffer();
  const vectors = (values: ArrayLike<number>) =>
    document
      .createAccessor()
      .setType('VEC3')
      .setArray(gatherTriples(values, split.sources))
      .setBuffer(buffer);
  const attributes = {
    POSITION: vectors(mesh.points),
    NORMAL: vectors(normals),
    TEXCOORD_0: document
      .createAccessor()
      .setType('VEC2')
      .setArray(split.uvs as Float32Array<ArrayBuffer>)
      .setBuffer(buffer),
  };
  const target = document.createMesh(options.name ?? 'mesh');
  for (const { name, faces } of groupByMaterial(mesh.faceVertexCounts.length, options.faceGroups ?? [])) {
    const indices = triangulate(mesh, faces, split.cornerVertices, split.sources.length);
    const primitive = document
      .createPrimitive()
      .setIndices(document.createAccessor().setType('SCALAR').setArray(indices).setBuffer(buffer));
    for (const [semantic, accessor] of Object.entries(attributes)) primitive.setAttribute(semantic, accessor);
    if (name !== undefined) {
      primitive.setMaterial(document.createMaterial(name).setMetallicFactor(0).setRoughnessFactor(1));
    }
    target.addPrimitive(primitive);
  }
  addNode(document, options).setMesh(target);
  return io.writeBinary(document);
}

function addNode(document: Document, options: CreateGlbOptions) {
  const scale = options.metersPerUnit ?? 1;
  const node = document
    .createNode(options.name ?? 'mesh')
    .setRotation([...TO_Y_UP[options.upAxis ?? 'y']])
    .setScale([scale, scale, scale]);
  document.getRoot().setDefaultScene(document.createScene().addChild(node));
  return node;
}

/** Unit normals of the points: the sum of the vector areas of their faces; +Z for a point without any. */
function computePointNormals({ points, faceVertexCounts, faceVertexIndices }: MeshInput): Float64Array {
  const normals = new Float64Array(points.length);
  const area = [0, 0, 0];
  for (let f = 0, first = 0; f < faceVertexCounts.length; f++) {
    const end = first + faceVertexCounts[f]!;
    area.fill(0);
    for (let c = first; c < end; c++) {
      const p = 3 * faceVertexIndices[c]!;
      const q = 3 * faceVertexIndices[c + 1 === end ? first : c + 1]!;
      for (let k = 0; k < 3; k++) {
        const a = (k + 1) % 3;
        const b = (k + 2) % 3;
        area[k]! += (points[p + a]! - points[q + a]!) * (points[p + b]! + points[q + b]!);
      }
    }
    for (let c = first; c < end; c++) {
      for (let k = 0; k < 3; k++) normals[3 * faceVertexIndices[c]! + k]! += area[k]!;
    }
    first = end;
  }
  for (let i = 0; i < normals.length; i += 3) {
    const length = Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!);
    if (length > 0) for (let k = 0; k < 3; k++) normals[i + k]! /= length;
    else normals[i + 2] = 1;
  }
  return normals;
}

function gatherTriples(values: ArrayLike<number>, sources: Int32Array): Float32Array<ArrayBuffer> {
  const gathered = new Float32Array(3 * sources.length);
  for (let i = 0; i < sources.length; i++) {
    for (let k = 0; k < 3; k++) gathered[3 * i + k] = values[3 * sources[i]! + k]!;
  }
  return gathered;
}

/** Faces of each material group, and before them those of none; every face once, in the first that has it. */
function groupByMaterial(
  faceCount: number,
  faceGroups: readonly FaceGroup[],
): { name: string | undefined; faces: number[] }[] {
  const materials = faceGroups.filter(({ kind }) => kind === 'material');
  const owners = new Int32Array(faceCount).fill(-1);
  materials.forEach(({ faces }, i) => {
    for (const f of faces) if (owners[f] === -1) owners[f] = i;
  });
  const groups = [undefined, ...materials.map(({ name }) => name)].map((name) => ({
    name,
    faces: [] as number[],
  }));
  owners.forEach((owner, f) => {
    groups[owner + 1]!.faces.push(f);
  });
  return groups.filter(({ faces }) => faces.length > 0);
}

function triangulate(
  mesh: MeshInput,
  faces: readonly number[],
  cornerVertices: Int32Array,
  vertexCount: number,
): Uint16Array<ArrayBuffer> | Uint32Array<ArrayBuffer> {
  const { points, faceVertexCounts, faceVertexIndices } = mesh;
  const offsets = new Int32Array(faceVertexCounts.length + 1);
  for (let f = 0; f < faceVertexCounts.length; f++) offsets[f + 1] = offsets[f]! + faceVertexCounts[f]!;
  const indices: number[] = [];
  for (const f of faces) {
    const first = offsets[f]!;
    const corners = Array.from({ length: faceVertexCounts[f]! }, (_, k) => faceVertexIndices[first + k]!);
    for (const k of triangulateFace(points, corners)) indices.push(cornerVertices[first + k]!);
  }
  return vertexCount > 0xffff ? Uint32Array.from(indices) : Uint16Array.from(indices);
}
