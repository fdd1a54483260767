import type { Document } from '@gltf-transform/core';
import * as core from '@gltf-transform/core';
import { ALL_EXTENSIONS } from '@gltf-transform/extensions';
import validator from 'gltf-validator';
import type { AnimationClip, SkinnedMesh, Mesh as ThreeMesh } from 'three';
import { AnimationMixer, Vector3 } from 'three';
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { ball } from './shapes.js';

export const io = new core.WebIO()
  .registerExtensions(ALL_EXTENSIONS)
  .setLogger(new core.Logger(core.Logger.Verbosity.SILENT));

/** A 1 × 1 PNG. */
const PNG = Uint8Array.from(
  atob('iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNkYAAAAAYAAjCB0C8AAAAASUVORK5CYII='),
  (character) => character.charCodeAt(0),
);

/** A ball that two joints bend, two morph targets swell, and an animation moves; with all a file may hold besides. */
export function puppetDocument(): Document {
  const { points, faceVertexIndices } = ball(8, 6);
  const count = points.length / 3;
  const document = new core.Document();
  const root = document.getRoot();
  root.setExtras({ shelf: 4 });
  const buffer = document.createBuffer();
  const accessor = (type: core.GLTF.AccessorType, array: core.TypedArray) =>
    document.createAccessor().setType(type).setArray(array).setBuffer(buffer);
  const positions = Float32Array.from(points);
  const heights = Array.from({ length: count }, (_, i) => (positions[3 * i + 1]! + 1) / 2);

  const material = document
    .createMaterial('painted wood')
    .setBaseColorTexture(document.createTexture('grain').setImage(PNG).setMimeType('image/png'))
    .setExtras({ pigment: 'ochre' });
  const indices = accessor('SCALAR', Uint16Array.from(faceVertexIndices));
  const primitive = document
    .createPrimitive()
    .setMaterial(material)
    .setIndices(indices)
    .setAttribute('POSITION', accessor('VEC3', positions))
    .setAttribute('NORMAL', accessor('VEC3', positions.slice()))
    .setAttribute(
      'TANGENT',
      accessor(
        'VEC4',
        Float32Array.from({ length: 4 * count }, (_, i) => (i % 4 === 0 || i % 4 === 3 ? 1 : 0)),
      ),
    )
    .setAttribute(
      'TEXCOORD_0',
      accessor(
        'VEC2',
        Float32Array.from({ length: 2 * count }, (_, i) => i / 100),
      ),
    )
    .setAttribute(
      'TEXCOORD_1',
      accessor(
        'VEC2',
        Float32Array.from({ length: 2 * count }, (_, i) => 1 - i / 200),
      ),
    )
    .setAttribute(
      'COLOR_0',
      accessor(
        'VEC4',
        Uint8Array.from({ length: 4 * count }, (_, i) => (i * 37) % 256),
      ).setNormalized(true),
    )
    .setAttribute(
      'JOINTS_0',
      accessor(
        'VEC4',
        Uint8Array.from({ length: 4 * count }, (_, i) => (i % 4 === 1 ? 1 : 0)),
      ),
    )
    .setAttribute(
      'WEIGHTS_0',
      accessor(
        'VEC4',
        Float32Array.from(
          { length: 4 * count },
          (_, i) => [1 - heights[i >> 2]!, heights[i >> 2]!, 0, 0][i % 4]!,
        ),
      ),
    )
    .setAttribute('_STRAIN', accessor('SCALAR', Float32Array.from(heights)))
    .setExtras({ layer: 'skin' });
  for (const [name, axis] of [
    ['swell', 0],
    ['stretch', 1],
  ] as const) {
    const moved = Float32Array.from(positions, (value, i) => (i % 3 === axis ? 0.3 * value : 0));
    const target = document
      .createPrimitiveTarget(name)
      .setAttribute('POSITION', accessor('VEC3', moved).setSparse(axis === 1));
    primitive.addTarget(target.setAttribute('NORMAL', accessor('VEC3', new Float32Array(3 * count))));
  }
  const mesh = document
    .createMesh('puppet')
    .addPrimitive(primitive)
    .setWeights([0.25, 0])
    .setExtras({ targetNames: ['swell', 'stretch'] });

  const lower = document.createNode('lower').setTranslation([0, -1, 0]);
  const upper = document.createNode('upper').setTranslation([0, 1, 0]).setExtras({ control: true });
  lower.addChild(upper);
  const inverse = Float32Array.from([
    ...[1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1],
    ...[1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
  ]);
  const skin = document
    .createSkin('bones')
    .addJoint(lower)
    .addJoint(upper)
    .setInverseBindMatrices(accessor('MAT4', inverse));
  const body = document.createNode('body').setMesh(mesh).setSkin(skin);
  root.setDefaultScene(document.createScene('stage').addChild(lower).addChild(body));

  const times = accessor('SCALAR', Float32Array.of(0, 1));
  const channel = (node: core.Node, path: 'rotation' | 'weights', values: core.Accessor) => {
    const sampler = document
      .createAnimationSampler()
      .setInput(times)
      .setOutput(values)
      .setInterpolation('LINEAR');
    return [
      sampler,
      document.createAnimationChannel().setTargetNode(node).setTargetPath(path).setSampler(sampler),
    ] as const;
  };
  const animation = document.createAnimation('bow');
  for (const [sampler, track] of [
    channel(
      upper,
      'rotation',
      accessor('VEC4', Float32Array.of(0, 0, 0, 1, Math.SQRT1_2, 0, 0, Math.SQRT1_2)),
    ),
    channel(body, 'weights', accessor('SCALAR', Float32Array.of(0, 0, 1, 0.5))),
  ]) {
    animation.addSampler(sampler).addChannel(track);
  }
  return document;
}

/** A document with one primitive of each way to list triangles, two that share their vertices, and odd nodes. */
export function oddDocument(): Document {
  const document = new core.Document();
  const buffer = document.createBuffer();
  const vectors = (values: number[]) =>
    document.createAccessor().setType('VEC3').setArray(Float32Array.from(values)).setBuffer(buffer);
  const scalars = (values: number[]) =>
    document.createAccessor().setType('SCALAR').setArray(Uint8Array.from(values)).setBuffer(buffer);
  const zigzag = [0, 0, 0, 0, 1, 0, 1, 0, 0, 1, 1, 0, 2, 0, 0, 2, 1, 0];
  const strip = document.createPrimitive().setMode(5).setAttribute('POSITION', vectors(zigzag));
  const fan = document
    .createPrimitive()
    .setMode(6)
    .setAttribute('POSITION', vectors([0, 0, 1, 1, 0, 1, 1, 1, 1, 0, 1, 1, -1, 1, 1]))
    .setIndices(scalars([0, 1, 2, 3, 4]));
  const soup = document
    .createPrimitive()
    .setAttribute('POSITION', vectors([0, 0, 2, 1, 0, 2, 0, 1, 2, 1, 0, 2, 1, 1, 2, 0, 1, 2]));
  const shared = vectors([0, 0, 3, 1, 0, 3, 1, 1, 3, 0, 1, 3]);
  const first = document
    .createPrimitive()
    .setAttribute('POSITION', shared)
    .setIndices(scalars([0, 1, 2, 0, 0, 1]))
    .setMaterial(document.createMaterial('oak'));
  const second = document
    .createPrimitive()
    .setAttribute('POSITION', shared)
    .setIndices(scalars([0, 2, 3]))
    .setMaterial(document.createMaterial('ash'));
  const wire = document
    .createPrimitive()
    .setMode(1)
    .setAttribute('POSITION', vectors([0, 0, 0, 1, 1, 1]));
  const mesh = document.createMesh('odd');
  for (const primitive of [strip, fan, soup, first, second, wire]) mesh.addPrimitive(primitive);
  const parent = document.createNode('parent').setTranslation([10, 0, 0]).setScale([-2, 2, 2]);
  parent.addChild(document.createNode('child').setMesh(mesh).setTranslation([0, 0, 5]));
  document
    .createMesh('unseen')
    .addPrimitive(document.createPrimitive().setAttribute('POSITION', vectors(zigzag)));
  document.createScene().addChild(parent);
  return document;
}

/** Errors that the reference validator of the glTF working group finds. */
export async function listErrors(glb: Uint8Array): Promise<string[]> {
  const { issues } = await validator.validateBytes(glb);
  return issues.messages
    .filter(({ severity }) => severity === 0)
    .map(({ code, pointer }) => `${code} ${pointer}`);
}

/** The meshes of a GLB as three's loader reads them, and the clips. */
export async function loadWithThree(
  glb: Uint8Array,
): Promise<{ meshes: ThreeMesh[]; clips: AnimationClip[]; pose(time: number): void }> {
  const gltf = await new GLTFLoader().parseAsync(withoutImages(glb), '');
  const meshes: ThreeMesh[] = [];
  gltf.scene.traverse((object) => {
    if ((object as ThreeMesh).isMesh) meshes.push(object as ThreeMesh);
  });
  const mixer = new AnimationMixer(gltf.scene);
  for (const clip of gltf.animations) mixer.clipAction(clip).play();
  const pose = (time: number) => {
    mixer.setTime(time);
    gltf.scene.updateMatrixWorld(true);
    for (const mesh of meshes) (mesh as SkinnedMesh).skeleton?.update();
  };
  pose(0);
  return { meshes, clips: gltf.animations, pose };
}

/** World positions of the corners of a mesh's triangles, with its morphs and bones as they stand. */
export function cornerPositions(mesh: ThreeMesh): number[] {
  const { index, attributes } = mesh.geometry;
  const count = index ? index.count : attributes.position!.count;
  const position = new Vector3();
  return Array.from({ length: count }, (_, i) => {
    mesh.getVertexPosition(index ? index.getX(i) : i, position);
    return position.applyMatrix4(mesh.matrixWorld).toArray();
  }).flat();
}

/** The GLB with plain materials: images need a browser. */
function withoutImages(glb: Uint8Array): ArrayBuffer {
  const view = new DataView(glb.buffer, glb.byteOffset, glb.byteLength);
  const jsonLength = view.getUint32(12, true);
  const json = JSON.parse(new TextDecoder().decode(glb.subarray(20, 20 + jsonLength)));
  for (const material of json.materials ?? []) {
    delete material.pbrMetallicRoughness;
    delete material.normalTexture;
  }
  delete json.images;
  delete json.textures;
  const text = new TextEncoder().encode(JSON.stringify(json));
  const plain = glb.slice();
  plain.fill(0x20, 20, 20 + jsonLength);
  plain.set(text, 20);
  return plain.buffer;
}
