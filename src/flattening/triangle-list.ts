/** Twice the area over the squared longest side above which a triangle is positive beyond doubt. */
export const CLEAR_RATIO = 1e-9;

/** Triangles under construction, in groups that are assembled together. */
export class TriangleList {
  readonly vertices: number[] = [];
  readonly faces: number[] = [];
  readonly shares: number[] = [];
  readonly cores: number[] = [];
  readonly elements: number[] = [0];
  readonly restrictedFaces: number[] = [];

  add(face: number, a: number, b: number, c: number, share: number, isCore: boolean): void {
    this.vertices.push(a, b, c);
    this.faces.push(face);
    this.shares.push(share);
    this.cores.push(isCore ? 1 : 0);
  }

  /** Replaces the triangles from `first` on by those positive in `uvs` and, as core, `core`. */
  restrict(first: number, uvs: Float64Array, core: readonly (readonly number[])[]): void {
    const face = this.faces[first]!;
    if (this.restrictedFaces[this.restrictedFaces.length - 1] !== face) this.restrictedFaces.push(face);
    const vertices = this.vertices.splice(3 * first);
    const faces = this.faces.splice(first);
    const shares = this.shares.splice(first);
    this.cores.length = first;
    this.elements.length = this.elements.findIndex((start) => start >= first) + 1;
    const keyOf = (triangle: readonly number[]) =>
      triangle
        .slice()
        .sort((a, b) => a - b)
        .join();
    const coreKeys = new Map(core.map((triangle) => [keyOf(triangle), triangle]));
    const all = faces.map((_, t) => vertices.slice(3 * t, 3 * t + 3));
    all.forEach((triangle, t) => {
      const isCore = coreKeys.delete(keyOf(triangle));
      if (isCore || turnInPlane(uvs, triangle) > CLEAR_RATIO)
        this.add(faces[t]!, triangle[0]!, triangle[1]!, triangle[2]!, shares[t]!, isCore);
    });
    for (const [a, b, c] of coreKeys.values()) this.add(faces[0]!, a!, b!, c!, shares[0]!, true);
  }

  closeElement(): void {
    if (this.elements[this.elements.length - 1] !== this.faces.length) this.elements.push(this.faces.length);
  }
}

/** Twice the signed area over the square of the longest side. */
export function turnInPlane(uvs: Float64Array, triangle: readonly number[]): number {
  const [a, b, c] = triangle.map((v) => 2 * v) as [number, number, number];
  const x1 = uvs[b]! - uvs[a]!;
  const y1 = uvs[b + 1]! - uvs[a + 1]!;
  const x2 = uvs[c]! - uvs[a]!;
  const y2 = uvs[c + 1]! - uvs[a + 1]!;
  const longest = Math.max(x1 * x1 + y1 * y1, x2 * x2 + y2 * y2, (x2 - x1) ** 2 + (y2 - y1) ** 2);
  return longest > 0 ? (x1 * y2 - y1 * x2) / longest : 0;
}
