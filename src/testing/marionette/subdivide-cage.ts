/** A closed quad surface with several numbers per point, its faces kept as square grids, one per cage face. */
export interface QuadSurface {
  readonly pointCount: number;
  /** Four points per quad; quads of cage face f are f·n² + j·n + i for a grid of n × n. */
  readonly quads: Int32Array;
  /** Opposite corner-edge of each corner-edge (corner k to corner k+1 of its quad). */
  readonly twins: Int32Array;
  readonly channels: Float64Array;
  /** Quads along one side of a cage face. */
  readonly grid: number;
}

/** Pairs the edges of a closed quad surface. */
export function quadSurface(quads: Int32Array, channels: Float64Array, channelCount: number): QuadSurface {
  const twins = new Int32Array(quads.length).fill(-1);
  const pointCount = channels.length / channelCount;
  const open = new Map<number, number>();
  for (let c = 0; c < quads.length; c++) {
    const a = quads[c]!;
    const b = quads[(c & ~3) | ((c + 1) & 3)]!;
    const mate = open.get(b * pointCount + a);
    if (mate === undefined) open.set(a * pointCount + b, c);
    else {
      twins[c] = mate;
      twins[mate] = c;
      open.delete(b * pointCount + a);
    }
  }
  if (open.size > 0) throw new Error(`quadSurface: ${open.size} edges have no partner, expected a closed surface`);
  return { pointCount, quads, twins, channels, grid: 1 };
}

/**
 * One step of the Catmull–Clark scheme (Catmull & Clark 1978): face points, edge points, moved points.
 * The quads stay ordered as grids, so a mirrored pair of cage faces stays a pair of mirrored grids.
 */
export function subdivide(surface: QuadSurface, channelCount: number): QuadSurface {
  const { quads, twins, channels, pointCount, grid } = surface;
  const quadCount = quads.length / 4;
  const edgeCount = quads.length / 2;
  const edgeOf = new Int32Array(quads.length);
  let edges = 0;
  for (let c = 0; c < quads.length; c++) edgeOf[c] = twins[c]! < c ? edgeOf[twins[c]!]! : edges++;
  const facePoint = pointCount + edgeCount;
  const out = new Float64Array((facePoint + quadCount) * channelCount);
  const valence = new Int32Array(pointCount);
  const around = new Float64Array(pointCount * channelCount);
  for (let c = 0; c < quads.length; c++) valence[quads[c]!]!++;
  for (let q = 0; q < quadCount; q++)
    for (let x = 0; x < channelCount; x++) {
      let sum = 0;
      for (let k = 0; k < 4; k++) sum += channels[quads[4 * q + k]! * channelCount + x]!;
      out[(facePoint + q) * channelCount + x] = sum / 4;
    }
  for (let c = 0; c < quads.length; c++) {
    const a = quads[c]!;
    const b = quads[(c & ~3) | ((c + 1) & 3)]!;
    const face = (facePoint + (c >> 2)) * channelCount;
    if (c < twins[c]!) {
      const other = (facePoint + (twins[c]! >> 2)) * channelCount;
      const edge = (pointCount + edgeOf[c]!) * channelCount;
      for (let x = 0; x < channelCount; x++)
        out[edge + x] = (channels[a * channelCount + x]! + channels[b * channelCount + x]! + out[face + x]! + out[other + x]!) / 4;
    }
    // Each corner adds its face point and twice the middle of the edge that leaves it.
    for (let x = 0; x < channelCount; x++)
      around[a * channelCount + x]! += out[face + x]! + channels[a * channelCount + x]! + channels[b * channelCount + x]!;
  }
  for (let p = 0; p < pointCount; p++) {
    const n = valence[p]!;
    for (let x = 0; x < channelCount; x++)
      out[p * channelCount + x] = (around[p * channelCount + x]! / n + (n - 3) * channels[p * channelCount + x]!) / n;
  }
  return { pointCount: facePoint + quadCount, channels: out, grid: 2 * grid, ...splitQuads(surface, edgeOf, edgeCount) };
}

/** Child k keeps corner k of its parent: `[v0 e0 f e3]`, `[e0 v1 e1 f]`, `[f e1 v2 e2]`, `[e3 f e2 v3]`. */
function splitQuads(surface: QuadSurface, edgeOf: Int32Array, edgeCount: number): { quads: Int32Array; twins: Int32Array } {
  const { quads, twins, pointCount, grid } = surface;
  const children = new Int32Array(quads.length);
  const cells = grid * grid;
  const step = [0, 1, 2 * grid + 1, 2 * grid];
  for (let q = 0; q < quads.length / 4; q++) {
    const face = Math.floor(q / cells);
    const j = Math.floor((q - face * cells) / grid);
    const i = q - face * cells - j * grid;
    for (let k = 0; k < 4; k++) children[4 * q + k] = 4 * face * cells + 4 * j * grid + 2 * i + step[k]!;
  }
  const newQuads = new Int32Array(4 * quads.length);
  const newTwins = new Int32Array(4 * quads.length);
  for (let c = 0; c < quads.length; c++) {
    const k = c & 3;
    const child = 4 * children[c]!;
    const nextChild = 4 * children[(c & ~3) | ((k + 1) & 3)]!;
    const previous = (c & ~3) | ((k + 3) & 3);
    newQuads[child + k] = quads[c]!;
    newQuads[child + ((k + 1) & 3)] = pointCount + edgeOf[c]!;
    newQuads[child + ((k + 2) & 3)] = pointCount + edgeCount + (c >> 2);
    newQuads[child + ((k + 3) & 3)] = pointCount + edgeOf[previous]!;
    const t = twins[c]!;
    const tk = t & 3;
    newTwins[child + k] = 4 * children[(t & ~3) | ((tk + 1) & 3)]! + tk;
    newTwins[nextChild + k] = 4 * children[t]! + tk;
    newTwins[child + ((k + 1) & 3)] = nextChild + ((k + 3) & 3);
    newTwins[nextChild + ((k + 3) & 3)] = child + ((k + 1) & 3);
  }
  return { quads: newQuads, twins: newTwins };
}

/** Where the points end up under endless subdivision (Halstead, Kass & DeRose 1993). */
export function limitChannels(surface: QuadSurface, channelCount: number): Float64Array {
  const { quads, channels, pointCount } = surface;
  const valence = new Int32Array(pointCount);
  const sums = new Float64Array(pointCount * channelCount);
  for (let c = 0; c < quads.length; c++) {
    const a = quads[c]!;
    const next = quads[(c & ~3) | ((c + 1) & 3)]! * channelCount;
    const across = quads[(c & ~3) | ((c + 2) & 3)]! * channelCount;
    valence[a]!++;
    for (let x = 0; x < channelCount; x++) sums[a * channelCount + x]! += 4 * channels[next + x]! + channels[across + x]!;
  }
  for (let p = 0; p < pointCount; p++) {
    const n = valence[p]!;
    for (let x = 0; x < channelCount; x++) {
      const i = p * channelCount + x;
      sums[i] = (n * n * channels[i]! + sums[i]!) / (n * (n + 5));
    }
  }
  return sums;
}

/**
 * Moves the cage so that the smooth surface passes (nearly) through the designed points: a few steps of
 * fixed-point iteration, which stop before the cage starts to ring.
 */
export function fitCage(surface: QuadSurface, channelCount: number, iterations: number): QuadSurface {
  const design = surface.channels;
  let fitted = surface;
  for (let i = 0; i < iterations; i++) {
    const limit = limitChannels(fitted, channelCount);
    fitted = { ...fitted, channels: fitted.channels.map((value, j) => value + design[j]! - limit[j]!) };
  }
  return fitted;
}
