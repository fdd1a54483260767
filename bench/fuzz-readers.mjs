// Mutation fuzzing of every reader: each input must be read, or be refused with a documented code, in seconds.
//
//   node bench/fuzz-readers.mjs [--count 100000] [--seed 1] [--format obj|ply|usda|json|gltf|glb]
//                               [--library dist] [--keep DIR]
//
// Inputs are mutations of small valid files. One that is read is also cut into topology, written with UVs and
// read again. What goes wrong is printed with the seed of its input and, with --keep, saved; the exit code is
// then 1. Inputs worth keeping become rows of tests/io/fuzz-regressions.test.ts.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { isMainThread, Worker, workerData } from 'node:worker_threads';

const { values: options } = parseArgs({
  options: {
    count: { type: 'string', default: '100000' },
    seed: { type: 'string', default: '1' },
    format: { type: 'string' },
    library: { type: 'string', default: resolve(import.meta.dirname, '../dist') },
    keep: { type: 'string' },
  },
});
const {
  createExchange,
  createGlb,
  createObj,
  createUsda,
  readMesh,
  writeExchange,
  writeObj,
  writeUsda,
  writeWithUvs,
} = await import(join(resolve(options.library), 'io/index.js'));
const { buildMesh } = await import(join(resolve(options.library), 'index.js'));

const SLOW_MS = 3000;
const LIMITS = { maxBytes: 1 << 22, maxElements: 200_000 };
const DOCUMENTED = /^(MESH|FORMAT|UV)_[A-Z_]+$|^FILE_UNREADABLE$/;

/** A small generator of random numbers (mulberry32), so that a seed names an input. */
function randomOf(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 4294967296) * below);
  };
}

/** The seed being tried, for the main thread, which ends a worker that stands still. */
const progress = isMainThread ? new Float64Array(new SharedArrayBuffer(8)) : workerData;
const HANG_MS = 60_000;
process.exitCode = isMainThread ? await watch() : await fuzz();

function watch() {
  return new Promise((done) => {
    const worker = new Worker(new URL(import.meta.url), {
      argv: process.argv.slice(2),
      workerData: progress,
    });
    let seen = 0;
    let since = performance.now();
    const timer = setInterval(() => {
      if (progress[0] !== seen) since = performance.now();
      seen = progress[0];
      if (performance.now() - since < HANG_MS) return;
      console.log(`seed ${seen}: stood still for ${HANG_MS / 1000} s`);
      worker.terminate();
    }, 1000);
    worker.on('exit', (code) => {
      clearInterval(timer);
      done(code);
    });
  });
}

async function fuzz() {
  const samples = await buildSamples();
  const formats = options.format ? [options.format] : Object.keys(samples);
  const codes = new Map();
  const failures = [];
  const count = Number(options.count);
  const firstSeed = Number(options.seed);
  const start = performance.now();
  let slowest = 0;
  for (let i = 0; i < count; i++) {
    const seed = firstSeed + i;
    progress[0] = seed;
    const random = randomOf(seed);
    const format = formats[random(formats.length)];
    const bytes = mutate(samples[format], random, format);
    const began = performance.now();
    const { outcome, problem } = await run(bytes, format);
    const time = performance.now() - began;
    slowest = Math.max(slowest, time);
    codes.set(`${format} ${outcome}`, (codes.get(`${format} ${outcome}`) ?? 0) + 1);
    if (problem || time > SLOW_MS) {
      failures.push({ seed, format, problem: problem ?? `took ${Math.round(time)} ms` });
      console.log(
        `seed ${seed} (${format}, ${bytes.length} bytes): ${problem ?? `took ${Math.round(time)} ms`}`,
      );
      if (options.keep) {
        mkdirSync(options.keep, { recursive: true });
        writeFileSync(join(options.keep, `${seed}.${format}`), bytes);
      }
      if (failures.length >= 50) break;
    }
    if ((i + 1) % 20000 === 0) console.error(`${i + 1} inputs, ${failures.length} failures`);
  }
  const seconds = (performance.now() - start) / 1000;
  for (const [key, number] of [...codes].sort()) console.log(`${String(number).padStart(8)}  ${key}`);
  console.log(
    `${count} inputs from seed ${firstSeed} in ${seconds.toFixed(0)} s, slowest ${slowest.toFixed(0)} ms, ${failures.length} failures`,
  );
  return failures.length > 0 ? 1 : 0;
}

/** Reads, builds, writes and reads again; `problem` says what no user should see. */
async function run(bytes, format) {
  let document;
  try {
    document = await readMesh(bytes, { format, ...LIMITS, readResource: () => new Uint8Array(64) });
    buildMesh(document.mesh);
  } catch (error) {
    return { outcome: error.code ?? 'crash', problem: DOCUMENTED.test(error.code) ? undefined : error.stack };
  }
  const cornerUvs = Float64Array.from(
    { length: 2 * document.mesh.faceVertexIndices.length },
    (_, i) => ((i * 37) % 101) / 101,
  );
  let written;
  try {
    written = await writeWithUvs(document, cornerUvs);
  } catch (error) {
    // What is broken beside the meshes of a glTF shows only now.
    const isKnown = error.code === 'FORMAT_INVALID' && (format === 'gltf' || format === 'glb');
    return {
      outcome: `refused when written: ${error.code ?? 'crash'}`,
      problem: isKnown ? undefined : error.stack,
    };
  }
  try {
    const back = await readMesh(written.bytes, { format: written.format });
    if (back.mesh.faceVertexIndices.length !== document.mesh.faceVertexIndices.length) {
      return { outcome: 'changed', problem: 'the written file has another number of corners' };
    }
    let difference = 0;
    cornerUvs.forEach((value, i) => {
      difference = Math.max(difference, Math.abs(value - back.cornerUvs[i]));
    });
    if (!(difference < 1e-6)) return { outcome: 'changed', problem: `the UVs came back ${difference} off` };
    return { outcome: 'read' };
  } catch (error) {
    return { outcome: 'unreadable when written', problem: error.stack };
  }
}

function mutate(bases, random, format) {
  let bytes = Uint8Array.from(bases[random(bases.length)]);
  if (format === 'glb' && random(4) > 0) return mutateGlbJson(bytes, random);
  if ((format === 'gltf' || format === 'json') && random(2) === 0) return mutateJson(bytes, random);
  for (let edits = 1 + random(random(3) + 1); edits > 0; edits--)
    bytes = edit(bytes, bases, random, format === 'glb');
  return bytes;
}

/** Mutates the JSON of a GLB and puts a fitting container round it, so that the mutation is reached. */
function mutateGlbJson(glb, random) {
  const length = new DataView(glb.buffer).getUint32(12, true);
  const original = glb.slice(20, 20 + length);
  const json = random(3) > 0 ? mutateJson(original, random) : edit(original, [original], random, false);
  const padded = Math.ceil(json.length / 4) * 4;
  const bytes = new Uint8Array(glb.length - length + padded).fill(0x20);
  bytes.set(glb.subarray(0, 20));
  bytes.set(json, 20);
  bytes.set(glb.subarray(20 + length), 20 + padded);
  new DataView(bytes.buffer).setUint32(8, bytes.length, true);
  new DataView(bytes.buffer).setUint32(12, padded, true);
  return bytes;
}

/** Mutates values and keys of JSON that stays JSON. */
function mutateJson(bytes, random) {
  const json = JSON.parse(new TextDecoder().decode(bytes));
  for (let edits = 1 + random(2); edits > 0; edits--) {
    const places = [];
    const visit = (value) => {
      if (typeof value !== 'object' || value === null) return;
      for (const key of Object.keys(value)) {
        places.push([value, key]);
        visit(value[key]);
      }
    };
    visit(json);
    if (places.length === 0) break;
    const [holder, key] = places[random(places.length)];
    const [otherHolder, otherKey] = places[random(places.length)];
    const values = [
      null,
      true,
      -1,
      0,
      1,
      2,
      3,
      5,
      4,
      255,
      5121,
      5123,
      5125,
      0.5,
      1e9,
      2 ** 31,
      2 ** 53,
      1e308,
      '',
      'x',
      'VEC2',
      'VEC3',
      'SCALAR',
      'MAT4',
      'data:,a',
      'a.bin',
      [],
      {},
      [0],
      [1, 0],
      [[]],
      { a: 1 },
    ];
    const value = random(3) === 0 ? structuredClone(otherHolder[otherKey]) : values[random(values.length)];
    if (random(6) === 0) delete holder[key];
    else if (Array.isArray(holder) && random(4) === 0) holder.splice(Number(key), random(2), value);
    else if (random(10) === 0) holder[otherKey] = value;
    else holder[key] = value;
  }
  return new TextEncoder().encode(JSON.stringify(json));
}

function edit(bytes, bases, random, isBinary) {
  const at = random(bytes.length + 1);
  const span = random(random(8) === 0 ? bytes.length - at + 1 : Math.min(24, bytes.length - at + 1));
  const splice = (insert, remove = 0) =>
    Uint8Array.of(...bytes.subarray(0, at), ...insert, ...bytes.subarray(at + remove));
  const text = (value) => new TextEncoder().encode(value);
  switch (random(isBinary ? 8 : 11)) {
    case 0: {
      const flipped = bytes.slice();
      if (at < flipped.length) flipped[at] ^= 1 << random(8);
      return flipped;
    }
    case 1:
      return bytes.slice(0, at);
    case 2:
      return splice([], span);
    case 3:
      return splice(bytes.slice(at, at + span));
    case 4: {
      const other = bases[random(bases.length)];
      const from = random(other.length);
      return splice(other.slice(from, from + random(200)), span);
    }
    case 5:
      return splice(
        Array.from({ length: 1 + random(8) }, () => random(256)),
        random(4),
      );
    case 6: {
      const overwritten = bytes.slice();
      const value = [0, 0xff, 0x7f, 0x80][random(4)];
      overwritten.fill(value, at, at + 1 + random(8));
      return overwritten;
    }
    case 7: {
      const from = random(bytes.length + 1);
      return splice(bytes.slice(from, from + span), span);
    }
    case 8: {
      // Another number in place of the next one.
      const start = bytes.findIndex((byte, i) => i >= at && byte >= 48 && byte <= 57);
      if (start < 0) return bytes;
      let end = start;
      while (bytes[end] >= 48 && bytes[end] <= 57) end++;
      const numbers = [
        '0',
        '-1',
        '1',
        '3',
        '255',
        '65536',
        '2147483647',
        '2147483648',
        '4294967295',
        '9007199254740993',
        '1e308',
        '1e999',
        '-0',
        '1e-320',
        'nan',
        'inf',
        '0.5',
        '1e',
        '.',
        '--1',
      ];
      return Uint8Array.of(
        ...bytes.subarray(0, start),
        ...text(numbers[random(numbers.length)]),
        ...bytes.subarray(end),
      );
    }
    case 9:
      return splice(
        text(
          [
            '{',
            '}',
            '[',
            ']',
            '(',
            ')',
            '"',
            "'",
            '"""',
            '\\',
            '\\\n',
            '#',
            '\r',
            '\n',
            '@',
            '<',
            '>',
            ',',
            ':',
            '/',
            '//',
            '__proto__',
            'null',
            'true',
            '\0',
            '\ufeff',
          ][random(26)],
        ),
        random(3),
      );
    default:
      return splice(
        text(
          ['[', '{"a":', '(', 'def Mesh "a" {', 'f 1 2 3\n', 'g x\n', 'v 0 0 0\n'][random(7)].repeat(
            1 + random(400),
          ),
        ),
      );
  }
}

/** Small valid files of each format. */
async function buildSamples() {
  const cube = {
    points: [-1, -1, -1, 1, -1, -1, 1, 1, -1, -1, 1, -1, -1, -1, 1, 1, -1, 1, 1, 1, 1, -1, 1, 1],
    faceVertexCounts: [4, 4, 4, 4, 4, 4],
    faceVertexIndices: [0, 3, 2, 1, 4, 5, 6, 7, 0, 1, 5, 4, 1, 2, 6, 5, 2, 3, 7, 6, 3, 0, 4, 7],
  };
  const fan = {
    points: [0, 0, 0, 2, 0, 0, 2, 1, 0, 1, 2, 1, 0, 1, 0],
    faceVertexCounts: [5, 3],
    faceVertexIndices: [0, 1, 2, 3, 4, 0, 4, 3],
  };
  const faceGroups = [
    { name: 'left hand', kind: 'group', faces: Int32Array.of(0, 1) },
    { name: 'oak', kind: 'material', faces: Int32Array.of(1) },
  ];
  const extras = {
    seams: [{ edges: [[0, 1]], role: 'collar', reason: 'hidden "here"' }],
    charts: [{ faces: [0, 1] }],
  };
  const uvs = (mesh) =>
    Float64Array.from({ length: 2 * mesh.faceVertexIndices.length }, (_, i) => ((i * 7) % 11) / 11);
  const bytes = (text) => new TextEncoder().encode(text);
  const written = (make) => [cube, fan].map((mesh) => make(mesh, uvs(mesh)));
  const glbs = await Promise.all(
    written((mesh, cornerUvs) => createGlb(mesh, cornerUvs, { faceGroups, upAxis: 'z' })),
  );
  glbs.push(await buildPuppet());
  const gltfs = glbs.map((glb) => {
    const length = new DataView(glb.buffer).getUint32(12, true);
    const json = JSON.parse(new TextDecoder().decode(glb.subarray(20, 20 + length)));
    json.buffers[0].uri = `data:application/octet-stream;base64,${Buffer.from(glb.subarray(28 + length)).toString('base64')}`;
    json.nodes.push(
      { matrix: [1, 0, 0, 0, 0, 2, 0, 0, 0, 0, 1, 0, 5, 0, 0, 1], mesh: 0, skin: 0 },
      { name: 'joint' },
    );
    json.skins ??= [{ joints: [2] }];
    json.scenes[0].nodes.push(1, 2);
    return bytes(JSON.stringify(json));
  });
  const obj = (mesh, cornerUvs) =>
    `mtllib a.mtl\no puppet\ns 1\n${writeObj(createObj(mesh, faceGroups), cornerUvs)}`;
  const usda = (mesh, cornerUvs) => writeUsda(createUsda(mesh, { faceGroups }), cornerUvs, extras);
  const stage = `#usda 1.0
(
    upAxis = "Z"
    doc = """two
lines"""
)
def Xform "A" ( kind = "component" )
{
    float3 xformOp:rotateXYZ = (10, 20, 30)
    uniform token[] xformOpOrder = ["xformOp:rotateXYZ", "!invert!xformOp:rotateXYZ"]
    def Mesh "B" {
        uniform token orientation = "leftHanded"
        int[] faceVertexCounts = [3, 3]
        int[] faceVertexIndices = [0, 1, 2, 2, 1, 3]
        point3f[] points.timeSamples = { 0: [(0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, 0)], }
        texCoord2f[] primvars:st = [(0, 0), (1, 0), (0, 1), (1, 1)] ( interpolation = "vertex" )
        rel material:binding = </A/C>
    }
    def Scope "C" { asset file = @a.png@  variantSet "v" = { "x" { } } }
}
`;
  const objText = `# by hand\r\nv 0 0 0 1 0 0\r\nv 1 0 0\r\nv 0 1 0\r\nv 1 1 0\r\nvt 0 0\r\nvt 1 1\r\nvn 0 0 1\r\ng a b\r\nf 1/1/1 2//1 \\\r\n 3/-1/-1\r\nf -1 -2 -3\r\nl 1/1 2/2\r\n`;
  const plyHead = (encoding) => `ply
format ${encoding} 1.0
comment c
element vertex 4
property float x
property float y
property float z
property float s
property float t
element face 2
property uchar flags
property list uchar int vertex_indices
property list uchar float texcoord
end_header
`;
  const plyBody = '0 0 0 0 0\n1 0 0 1 0\n0 1 0 0 1\n1 1 0 1 1\n1 3 0 1 2 6 0 0 1 0 0 1\n0 4 0 1 3 2 0\n';
  const binaryPly = (isLittle) => {
    const head = bytes(plyHead(isLittle ? 'binary_little_endian' : 'binary_big_endian'));
    const body = [];
    const put = (value, size, set) => {
      const view = new DataView(new ArrayBuffer(size));
      view[set](0, value, isLittle);
      for (let i = 0; i < size; i++) body.push(view.getUint8(i));
    };
    for (const value of [0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 1, 1, 1, 0, 1, 1])
      put(value, 4, 'setFloat32');
    for (const face of [
      [0, 1, 3],
      [0, 3, 2],
    ]) {
      body.push(1, 3);
      for (const point of face) put(point, 4, 'setInt32');
      body.push(0);
    }
    return Uint8Array.of(...head, ...body);
  };
  return {
    obj: [...written(obj).map(bytes), bytes(objText)],
    ply: [bytes(plyHead('ascii') + plyBody), binaryPly(true), binaryPly(false)],
    usda: [...written(usda).map(bytes), bytes(stage)],
    json: written((mesh, cornerUvs) =>
      bytes(writeExchange(createExchange(mesh, faceGroups), cornerUvs, extras)),
    ),
    gltf: gltfs,
    glb: glbs,
  };
}

/** A strip with two joints, sparse morph targets, all kinds of attributes and an animation. */
async function buildPuppet() {
  const { Document, WebIO } = await import('@gltf-transform/core');
  const document = new Document();
  const buffer = document.createBuffer();
  const accessor = (type, array) => document.createAccessor().setType(type).setArray(array).setBuffer(buffer);
  const count = 6;
  const floats = (size, make) =>
    Float32Array.from({ length: size * count }, (_, i) => make(Math.floor(i / size), i % size));
  const primitive = document
    .createPrimitive()
    .setMode(5)
    .setIndices(accessor('SCALAR', Uint8Array.of(0, 1, 2, 3, 3, 4, 5)))
    .setAttribute(
      'POSITION',
      accessor(
        'VEC3',
        floats(3, (v, k) => [v % 2, v >> 1, 0.25 * v][k]),
      ),
    )
    .setAttribute(
      'NORMAL',
      accessor(
        'VEC3',
        floats(3, (_, k) => (k === 2 ? 1 : 0)),
      ),
    )
    .setAttribute(
      'TANGENT',
      accessor(
        'VEC4',
        floats(4, (_, k) => (k % 3 === 0 ? 1 : 0)),
      ),
    )
    .setAttribute(
      'TEXCOORD_0',
      accessor(
        'VEC2',
        floats(2, (v, k) => (v + k) / 8),
      ),
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
        floats(4, (v, k) => (k > 1 ? 0 : k ? v / 8 : 1 - v / 8)),
      ),
    )
    .setMaterial(document.createMaterial('oak'))
    .addTarget(
      document.createPrimitiveTarget('swell').setAttribute(
        'POSITION',
        accessor(
          'VEC3',
          floats(3, (v, k) => (v === 2 ? k : 0)),
        ).setSparse(true),
      ),
    );
  const mesh = document.createMesh('puppet').addPrimitive(primitive).setWeights([0.5]);
  const [lower, upper] = ['lower', 'upper'].map((name) =>
    document.createNode(name).setTranslation([0, 1, 0]),
  );
  const skin = document
    .createSkin()
    .addJoint(lower)
    .addJoint(upper.addChild(document.createNode('tip')));
  const body = document.createNode('body').setMesh(mesh).setSkin(skin);
  document.createScene().addChild(lower.addChild(upper)).addChild(body);
  const sampler = document
    .createAnimationSampler()
    .setInput(accessor('SCALAR', Float32Array.of(0, 1)))
    .setOutput(accessor('SCALAR', Float32Array.of(0, 1)));
  const channel = document
    .createAnimationChannel()
    .setTargetNode(body)
    .setTargetPath('weights')
    .setSampler(sampler);
  document.createAnimation('breathe').addSampler(sampler).addChannel(channel);
  return new WebIO().writeBinary(document);
}
