// Seeded test systems: curved, jittered disk patches and the two matrices that flattening solves with.

/** Park & Miller's generator: the same numbers on every machine. */
function randomSource(seed) {
  let state = seed;
  return () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
}

/** A disk of about `count` vertices: a square grid bent onto a disk and a curved height, jittered, with random diagonals. */
export function makePatch(count, seed = 1) {
  const side = Math.round(Math.sqrt(count));
  const random = randomSource(seed);
  const positions = new Float64Array(3 * side * side);
  for (let i = 0; i < side; i++) {
    for (let j = 0; j < side; j++) {
      const a = (2 * (j + 0.6 * (random() - 0.5))) / (side - 1) - 1;
      const b = (2 * (i + 0.6 * (random() - 0.5))) / (side - 1) - 1;
      const x = a * Math.sqrt(1 - (b * b) / 2.2);
      const y = b * Math.sqrt(1 - (a * a) / 2.2);
      positions.set(
        [x, y, 0.6 * (1 - x * x - y * y) + 0.1 * Math.sin(5 * x) * Math.cos(4 * y)],
        3 * (i * side + j),
      );
    }
  }
  const triangles = new Int32Array(6 * (side - 1) * (side - 1));
  let t = 0;
  for (let i = 0; i + 1 < side; i++) {
    for (let j = 0; j + 1 < side; j++) {
      const p = i * side + j;
      const q = p + side;
      triangles.set(random() < 0.5 ? [p, p + 1, q + 1, p, q + 1, q] : [p, p + 1, q, p + 1, q + 1, q], t);
      t += 6;
    }
  }
  return { vertexCount: side * side, positions, triangles, pins: [0, side * side - 1] };
}

/** Cotangents of the corners of every triangle, and its area. */
function measureTriangle(positions, a, b, c) {
  const u = [0, 1, 2].map((k) => positions[3 * b + k] - positions[3 * a + k]);
  const v = [0, 1, 2].map((k) => positions[3 * c + k] - positions[3 * a + k]);
  const uu = u[0] * u[0] + u[1] * u[1] + u[2] * u[2];
  const vv = v[0] * v[0] + v[1] * v[1] + v[2] * v[2];
  const uv = u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
  const twice = Math.sqrt(Math.max(uu * vv - uv * uv, 1e-300));
  return {
    area: twice / 2,
    cotangents: [uv / twice, (uu - uv) / twice, (vv - uv) / twice],
    length: Math.sqrt(uu),
    uv,
    twice,
  };
}

/** Cotangent Laplacian + 1e-8 of the mass matrix; unknowns are vertices. */
export function makeLaplacian({ vertexCount, positions, triangles }) {
  const triplets = new Triplets();
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = triangles.subarray(t, t + 3);
    const { cotangents, area } = measureTriangle(positions, ...corners);
    for (let k = 0; k < 3; k++) {
      const i = corners[(k + 1) % 3];
      const j = corners[(k + 2) % 3];
      const w = cotangents[k] / 2;
      triplets.add(i, j, -w);
      triplets.add(i, i, w);
      triplets.add(j, j, w);
      triplets.add(corners[k], corners[k], (1e-8 * area) / 3);
    }
  }
  return { size: vertexCount, ...triplets.arrays(), groups: undefined };
}

/** Normal matrix AᵀA of least-squares conformal maps, two vertices pinned; unknowns are u and v of the free vertices. */
export function makeConformal(patch) {
  const { positions, triangles } = patch;
  const { unknowns, groups, size } = numberUnknowns(patch);
  const triplets = new Triplets();
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = triangles.subarray(t, t + 3);
    const { length, uv, twice } = measureTriangle(positions, ...corners);
    const x = [0, length, uv / length];
    const y = [0, 0, twice / length];
    const real = [0, 1, 2].map((k) => (x[(k + 2) % 3] - x[(k + 1) % 3]) / Math.sqrt(twice));
    const imaginary = [0, 1, 2].map((k) => (y[(k + 2) % 3] - y[(k + 1) % 3]) / Math.sqrt(twice));
    const columns = [0, 1, 2].flatMap((k) => [unknowns[2 * corners[k]], unknowns[2 * corners[k] + 1]]);
    const first = [0, 1, 2].flatMap((k) => [real[k], -imaginary[k]]);
    const second = [0, 1, 2].flatMap((k) => [imaginary[k], real[k]]);
    for (let i = 0; i < 6; i++) {
      for (let j = 0; j <= i; j++) {
        if (columns[i] < 0 || columns[j] < 0) continue;
        triplets.add(columns[i], columns[j], first[i] * first[j] + second[i] * second[j]);
      }
    }
  }
  return { size, ...triplets.arrays(), groups };
}

/** The same energy as Dirichlet energy minus the area inside the border: half the entries. */
export function makeConformalArea(patch) {
  const { positions, triangles } = patch;
  const { unknowns, groups, size } = numberUnknowns(patch);
  const triplets = new Triplets();
  const add = (i, j, value) => {
    if (i >= 0 && j >= 0) triplets.add(i, j, value);
  };
  const border = new Map();
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = triangles.subarray(t, t + 3);
    const { cotangents } = measureTriangle(positions, ...corners);
    for (let k = 0; k < 3; k++) {
      const i = corners[(k + 1) % 3];
      const j = corners[(k + 2) % 3];
      for (let c = 0; c < 2; c++) {
        add(unknowns[2 * i + c], unknowns[2 * j + c], -cotangents[k]);
        add(unknowns[2 * i + c], unknowns[2 * i + c], cotangents[k]);
        add(unknowns[2 * j + c], unknowns[2 * j + c], cotangents[k]);
      }
      const key = Math.min(i, j) * patch.vertexCount + Math.max(i, j);
      if (border.has(key)) border.delete(key);
      else border.set(key, [i, j]);
    }
  }
  for (const [i, j] of border.values()) {
    add(unknowns[2 * i], unknowns[2 * j + 1], -1);
    add(unknowns[2 * j], unknowns[2 * i + 1], 1);
  }
  return { size, ...triplets.arrays(), groups };
}

function numberUnknowns({ vertexCount, pins }) {
  const unknowns = new Int32Array(2 * vertexCount).fill(-1);
  const groups = [];
  let size = 0;
  let group = 0;
  for (let v = 0; v < vertexCount; v++) {
    if (pins.includes(v)) continue;
    unknowns[2 * v] = size++;
    unknowns[2 * v + 1] = size++;
    groups.push(group, group++);
  }
  return { unknowns, groups: Int32Array.from(groups), size };
}

class Triplets {
  rows = [];
  columns = [];
  values = [];
  add(i, j, value) {
    this.rows.push(i);
    this.columns.push(j);
    this.values.push(value);
  }
  arrays() {
    return {
      rows: Int32Array.from(this.rows),
      columns: Int32Array.from(this.columns),
      values: Float64Array.from(this.values),
    };
  }
}
