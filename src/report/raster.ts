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
  for (let i = 0; i < pixels.length; i++) pixels[i] = paper[i % 3]!;
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
  const { from, to, colour, dash, bias } = line;
  const dx = screen[to]! - screen[from]!;
  const dy = screen[to + 1]! - screen[from + 1]!;
  const dz = screen[to + 2]! - screen[from + 2]!;
  const length = Math.hypot(dx, dy);
  const steps = Math.max(1, Math.ceil(2 * length));
  const radius = line.width / 2;
  for (let i = 0; i <= steps; i++) {
    const share = i / steps;
    if (dash && ((line.start ?? 0) + share * length) % (dash[0]! + dash[1]!) > dash[0]!) continue;
    stampDot(raster, {
      x: screen[from]! + share * dx,
      y: screen[from + 1]! + share * dy,
      depth: screen[from + 2]! + share * dz + bias,
      radius,
      colour,
    });
  }
}

interface Dot {
  readonly x: number;
  readonly y: number;
  readonly depth: number;
  readonly radius: number;
  readonly colour: Colour;
}

function stampDot({ width, height, pixels, depths }: Raster, { x, y, depth, radius, colour }: Dot): void {
  for (let py = Math.max(0, Math.floor(y - radius)); py <= Math.min(height - 1, y + radius); py++) {
    for (let px = Math.max(0, Math.floor(x - radius)); px <= Math.min(width - 1, x + radius); px++) {
      if (Math.hypot(px + 0.5 - x, py + 0.5 - y) > radius) continue;
      const k = py * width + px;
      if (depth < depths[k]!) continue;
      pixels[3 * k] = colour[0];
      pixels[3 * k + 1] = colour[1];
      pixels[3 * k + 2] = colour[2];
    }
  }
}

/** Averages blocks of `factor` × `factor` pixels. */
export function shrink({ width, height, pixels }: Raster, factor: number): Uint8Array {
  const w = width / factor;
  const h = height / factor;
  const small = new Uint8Array(3 * w * h);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      for (let k = 0; k < 3; k++) {
        let sum = 0;
        for (let j = 0; j < factor; j++)
          for (let i = 0; i < factor; i++)
            sum += pixels[3 * ((y * factor + j) * width + x * factor + i) + k]!;
        small[3 * (y * w + x) + k] = Math.round(sum / (factor * factor));
      }
    }
  }
  return small;
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
