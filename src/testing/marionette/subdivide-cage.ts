/** A quad surface, closed or bordered, with several numbers per point, its faces kept as square grids, one per cage face. */
export interface QuadSurface {
  readonly pointCount: number;
  /** Four points per quad; quads of cage face f are f·n² + j·n + i for a grid of n × n. */
  readonly quads: Int32Array;
  /** Opposite corner-edge of each corner-edge (corner k to corner k+1 of its quad), -1 on a border. */
  readonly twins: Int32Array;
  readonly channels: Float64Array;
  /** Quads along one side of a cage face. */
  readonly grid: number;
}

/** Pairs the edges of a quad surface whose faces agree in orientation. */
export function quadSurface(quads: Int32Array, channels: Float64Array, channelCount: number): QuadSurface {
  const twins = new Int32Array(quads.length).fill(-1);
  const pointCount = channels.length / channelCount;
  const open = new Map<number, number>();
  for (let c = 0; c < quads.length; c++) {
    const a = quads[c]!;
    const b = quads[follow(c)]!;
    const mate = open.get(b * pointCount + a);
    if (mate === undefined) open.set(a * pointCount + b, c);
    else {
      twins[c] = mate;
      twins[mate] = c;
      open.delete(b * pointCount + a);
    }
  }
  return { pointCount, quads, twins, channels, grid: 1 };
}

/** What border points follow instead of the smooth rules: the sum of their two neighbours along the border. */
function borderSums(
  { quads, twins, channels, pointCount }: QuadSurface,
  channelCount: number,
): { isBorder: Uint8Array; sums: Float64Array } {
  const isBorder = new Uint8Array(pointCount);
  const sums = new Float64Array(pointCount * channelCount);
  for (let c = 0; c < quads.length; c++) {
    if (twins[c]! >= 0) continue;
    const a = quads[c]!;
    const b = quads[follow(c)]!;
    isBorder[a] = isBorder[b] = 1;
    for (let x = 0; x < channelCount; x++) {
      sums[a * channelCount + x]! += channels[b * channelCount + x]!;
      sums[b * channelCount + x]! += channels[a * channelCount + x]!;
    }
  }
  return { isBorder, sums };
}

/** The next corner round the quad. */
const follow = (c: number): number => (c & ~3) | ((c + 1) & 3);

/** Numbers the edges: the edge of each corner-edge, and the count. */
export function numberEdges(twins: Int32Array): { edgeOf: Int32Array; edgeCount: number } {
  const edgeOf = new Int32Array(twins.length);
  let edgeCount = 0;
  for (let c = 0; c < twins.length; c++)
    edgeOf[c] = twins[c]! >= 0 && twins[c]! < c ? edgeOf[twins[c]!]! : edgeCount++;
  return { edgeOf, edgeCount };
}

/**
 * One step of the Catmull–Clark scheme (Catmull & Clark 1978): face points, edge points, moved points;
 * borders become B-splines. The quads stay ordered as grids, so a mirrored pair of cage faces stays a
 * pair of mirrored grids.
 */
export function subdivide(surface: QuadSurface, channelCount: number): QuadSurface {
  const { quads, twins, channels, pointCount, grid } = surface;
  const quadCount = quads.length / 4;
  const { edgeOf, edgeCount } = numberEdges(twins);
  const facePoint = pointCount + edgeCount;
  const out = new Float64Array((facePoint + quadCount) * channelCount);
  const valence = new Int32Array(pointCount);
  const around = new Float64Array(pointCount * channelCount);
  for (let c = 0; c < quads.length; c++) {
    valence[quads[c]!]!++;
    for (let x = 0; x < channelCount; x++)
      out[(facePoint + (c >> 2)) * channelCount + x]! += channels[quads[c]! * channelCount + x]! / 4;
  }
  for (let c = 0; c < quads.length; c++) {
    const a = quads[c]! * channelCount;
    const b = quads[follow(c)]! * channelCount;
    const face = (facePoint + (c >> 2)) * channelCount;
    const edge = (pointCount + edgeOf[c]!) * channelCount;
    const t = twins[c]!;
    if (t < 0) {
      for (let x = 0; x < channelCount; x++) out[edge + x] = (channels[a + x]! + channels[b + x]!) / 2;
    } else if (c < t) {
      const other = (facePoint + (t >> 2)) * channelCount;
      for (let x = 0; x < channelCount; x++)
        out[edge + x] = (channels[a + x]! + channels[b + x]! + out[face + x]! + out[other + x]!) / 4;
    }
    // Each corner adds its face point and twice the middle of the edge that leaves it.
    for (let x = 0; x < channelCount; x++)
      around[a + x]! += out[face + x]! + channels[a + x]! + channels[b + x]!;
  }
  const { isBorder, sums } = borderSums(surface, channelCount);
  for (let p = 0; p < pointCount; p++) {
    const n = valence[p]!;
    for (let x = 0; x < channelCount; x++) {
      const i = p * channelCount + x;
      out[i] = isBorder[p]
        ? (6 * channels[i]! + sums[i]!) / 8
        : (around[i]! / n + (n - 3) * channels[i]!) / n;
    }
  }
  return {
    pointCount: facePoint + quadCount,
    channels: out,
    grid: 2 * grid,
    ...splitQuads(surface, edgeOf, edgeCount),
  };
}

/** Child k keeps corner k of its parent: `[v0 e0 f e3]`, `[e0 v1 e1 f]`, `[f e1 v2 e2]`, `[e3 f e2 v3]`. */
function splitQuads(
  surface: QuadSurface,
  edgeOf: Int32Array,
  edgeCount: number,
): { quads: Int32Array; twins: Int32Array } {
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
    const nextChild = 4 * children[follow(c)]!;
    const previous = (c & ~3) | ((k + 3) & 3);
    newQuads[child + k] = quads[c]!;
    newQuads[child + ((k + 1) & 3)] = pointCount + edgeOf[c]!;
    newQuads[child + ((k + 2) & 3)] = pointCount + edgeCount + (c >> 2);
    newQuads[child + ((k + 3) & 3)] = pointCount + edgeOf[previous]!;
    const t = twins[c]!;
    newTwins[child + k] = t < 0 ? -1 : 4 * children[follow(t)]! + (t & 3);
    newTwins[nextChild + k] = t < 0 ? -1 : 4 * children[t]! + (t & 3);
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
    const next = quads[follow(c)]! * channelCount;
    const across = quads[(c & ~3) | ((c + 2) & 3)]! * channelCount;
    valence[a]!++;
    for (let x = 0; x < channelCount; x++)
      sums[a * channelCount + x]! += 4 * channels[next + x]! + channels[across + x]!;
  }
  const border = borderSums(surface, channelCount);
  for (let p = 0; p < pointCount; p++) {
    const n = valence[p]!;
    for (let x = 0; x < channelCount; x++) {
      const i = p * channelCount + x;
      sums[i] = border.isBorder[p]
        ? (4 * channels[i]! + border.sums[i]!) / 6
        : (n * n * channels[i]! + sums[i]!) / (n * (n + 5));
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
