/** A picture with depth, rows from the top; larger depth is nearer. */
export interface Raster {
  readonly width: number;
  readonly height: number;
  /** 3 bytes per pixel. */
  readonly pixels: Uint8Array;
  readonly depths: Float32Array;
}

type Colour = readonly [number, number, number];

/** An empty picture. */
export function createRaster(width: number, height: number, paper: Colour): Raster {
  const pixels = new Uint8Array(3 * width * height);
  for (let i = 0; i < 3 * width; i++) pixels[i] = paper[i % 3]!;
  for (let y = 1; y < height; y++) pixels.copyWithin(3 * y * width, 0, 3 * width);
  return { width, height, pixels, depths: new Float32Array(width * height).fill(-Infinity) };
}

/** Fills a triangle given as x, y, depth at `a`, `b` and `c` (offsets into `screen`). */
export function fillTriangle(
  raster: Raster,
  screen: Float64Array,
  [a, b, c]: readonly [number, number, number],
  colour: Colour,
): void {
  const { width, height, pixels, depths } = raster;
  const ax = screen[a]!;
  const ay = screen[a + 1]!;
  const az = screen[a + 2]!;
  const ux = screen[b]! - ax;
  const uy = screen[b + 1]! - ay;
  const vx = screen[c]! - ax;
  const vy = screen[c + 1]! - ay;
  const area = ux * vy - uy * vx;
  if (area === 0) return;
  const uz = (screen[b + 2]! - az) / area;
  const vz = (screen[c + 2]! - az) / area;
  const left = Math.max(0, Math.floor(ax + Math.min(0, ux, vx)));
  const right = Math.min(width - 1, Math.ceil(ax + Math.max(0, ux, vx)));
  const top = Math.max(0, Math.floor(ay + Math.min(0, uy, vy)));
  const bottom = Math.min(height - 1, Math.ceil(ay + Math.max(0, uy, vy)));
  // Weights times the area; a hair of slack leaves no pinholes along shared edges.
  const sign = Math.sign(area);
  const slack = -1e-7 * Math.abs(area);
  for (let y = top; y <= bottom; y++) {
    const py = y + 0.5 - ay;
    for (let x = left; x <= right; x++) {
      const px = x + 0.5 - ax;
      const s = px * vy - py * vx;
      const t = ux * py - uy * px;
      if (sign * s < slack || sign * t < slack || sign * (area - s - t) < slack) continue;
      const depth = az + s * uz + t * vz;
      const k = y * width + x;
      if (depth <= depths[k]!) continue;
      depths[k] = depth;
      pixels[3 * k] = colour[0];
      pixels[3 * k + 1] = colour[1];
      pixels[3 * k + 2] = colour[2];
    }
  }
}

/** A line to draw: offsets of its ends into `screen`. */
export interface RasterLine {
  readonly from: number;
  readonly to: number;
  readonly colour: Colour;
  /** Pixels. */
  readonly width: number;
  /** Lengths of dash and gap in pixels; whole when absent. */
  readonly dash?: readonly number[] | undefined;
  /** Length of the line's path before `from`, for dashes that run on from piece to piece. */
  readonly start?: number;
  /** How far the line may lie behind the surface and still show, in depth units. */
  readonly bias: number;
}

/** Draws a line over what is behind it. */
export function drawLine(raster: Raster, screen: Float64Array, line: RasterLine): void {
  const { width, height, pixels, depths } = raster;
  const { from, to, colour, bias } = line;
  const z0 = screen[from + 2]! + bias;
  const dz = screen[to + 2]! + bias - z0;
  const ends = [screen[from]!, screen[from + 1]!, screen[to]!, screen[to + 1]!] as const;
  visitLine(ends, line, (px, py, share) => {
    if (px < 0 || py < 0 || px >= width || py >= height) return;
    const k = py * width + px;
    if (z0 + share * dz < depths[k]!) return;
    pixels[3 * k] = colour[0];
    pixels[3 * k + 1] = colour[1];
    pixels[3 * k + 2] = colour[2];
  });
}

/** Visits the pixels of a line from x0, y0 to x1, y1, some of them more than once, with how far along they lie, 0..1. */
export function visitLine(
  [x0, y0, x1, y1]: readonly [number, number, number, number],
  { width, dash, start = 0 }: Pick<RasterLine, 'width' | 'dash' | 'start'>,
  visit: (x: number, y: number, share: number) => void,
): void {
  const disc = discOffsets(width / 2);
  const length = Math.hypot(x1 - x0, y1 - y0);
  const steps = Math.max(1, Math.ceil(length));
  for (let i = 0; i <= steps; i++) {
    const share = i / steps;
    if (dash && (start + share * length) % (dash[0]! + dash[1]!) > dash[0]!) continue;
    const x = Math.floor(x0 + share * (x1 - x0));
    const y = Math.floor(y0 + share * (y1 - y0));
    for (let j = 0; j < disc.length; j += 2) visit(x + disc[j]!, y + disc[j + 1]!, share);
  }
}

/** Offsets of the pixels within `radius` of a pixel, as x, y pairs. */
function discOffsets(radius: number): Int32Array {
  const offsets: number[] = [];
  const reach = Math.ceil(radius);
  for (let y = -reach; y <= reach; y++)
    for (let x = -reach; x <= reach; x++) if (Math.hypot(x, y) <= radius) offsets.push(x, y);
  return Int32Array.from(offsets);
}

/** Averages blocks of 2 × 2 pixels. */
export function halve({ width, height, pixels }: Raster): Uint8Array {
  const stride = 3 * width;
  const half = new Uint8Array((stride * height) / 4);
  let k = 0;
  for (let y = 0; y < height; y += 2) {
    for (let x = 0; x < width; x += 2) {
      const i = y * stride + 3 * x;
      const j = i + stride;
      for (let c = 0; c < 3; c++)
        half[k++] = (pixels[i + c]! + pixels[i + 3 + c]! + pixels[j + c]! + pixels[j + 3 + c]! + 2) >> 2;
    }
  }
  return half;
}

/** A picture that can be drawn over without touching the first. */
export function copyRaster(raster: Raster): Raster {
  return { ...raster, pixels: raster.pixels.slice(), depths: raster.depths };
}

/** Pictures of one size side by side; `stride` is the bytes in a row of one. */
export function joinRows(pictures: readonly Uint8Array[], stride: number): Uint8Array {
  if (pictures.length === 1) return pictures[0]!;
  const rows = (pictures[0]?.length ?? 0) / stride;
  const joined = new Uint8Array(pictures.length * stride * rows);
  pictures.forEach((picture, i) => {
    for (let y = 0; y < rows; y++)
      joined.set(picture.subarray(y * stride, (y + 1) * stride), (y * pictures.length + i) * stride);
  });
  return joined;
}
