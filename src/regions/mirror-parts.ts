import type { Mirror } from '../fields/index.js';
import { sumSides } from '../fields/index.js';
import type { Mesh } from '../mesh/index.js';
import type { PartSide } from './part.js';

/** What mirroring needs to know of a part and may change. */
export interface MirroredPart {
  name: string;
  side: PartSide;
  confidence: number;
  parent: number;
  partner: number;
  tip: number;
}

/**
 * Makes the parts of a mirrored surface mirror each other exactly: of two partners one decides, most often the left one,
 * and what was found on the right only is copied to the left first.
 *
 * @param faceParts - changed in place
 * @param parts - changed in place; may grow
 */
export function mirrorParts<T extends MirroredPart>(
  mesh: Mesh,
  mirror: Mirror,
  faceAreas: Float64Array,
  faceParts: Int32Array,
  parts: T[],
): void {
  const { facePartners } = mirror;
  const sides = Int32Array.from(faceParts, (_, f) => sumSides(mesh, mirror.vertexSides, f));
  const partners = matchParts(facePartners, faceAreas, faceParts, parts);
  const signs = tellSides(parts, partners);
  const decides = markDeciding(facePartners, faceParts, signs, sides);
  // Found on one side only: its mirror image becomes a part of its own.
  const count = parts.length;
  for (let p = 0; p < count; p++) {
    if (partners[p]! >= 0 || parts[p]!.parent < 0) continue;
    const parent = partners[parts[p]!.parent]!;
    if (parent < 0 || !isWhole(faceParts, facePartners, p, parent)) continue;
    const copy = parts.push({ ...parts[p]!, parent, confidence: 0.7 * parts[p]!.confidence }) - 1;
    partners[p] = copy;
    partners[copy] = p;
    for (let f = 0; f < faceParts.length; f++) {
      const g = facePartners[f]!;
      if (faceParts[f] === p && g >= 0 && faceParts[g] === parent) faceParts[g] = copy;
    }
  }
  for (let f = 0; f < faceParts.length; f++) {
    const g = facePartners[f]!;
    if (!decides[f]) continue;
    const image = partners[faceParts[f]!]!;
    if (image >= 0) faceParts[g] = image;
  }
  parts.forEach((part, p) => {
    const q = partners[p]!;
    part.partner = q === p ? -1 : q;
    if (q === p) part.side = 'centre';
  });
  const sums = new Float64Array(parts.length);
  for (let f = 0; f < faceParts.length; f++) sums[faceParts[f]!]! += faceAreas[f]! * sides[f]!;
  // The more certain name wins, and the left tip is mirrored.
  parts.forEach((part, p) => {
    if (part.partner < 0) return;
    const other = parts[part.partner]!;
    if (other.confidence > part.confidence && other.name !== part.name) {
      Object.assign(part, {
        ...other,
        parent: part.parent,
        partner: part.partner,
        tip: part.tip,
      });
    }
    const order = signs[p] || sums[p]! - sums[part.partner]! || part.partner - p;
    part.side = order > 0 ? 'left' : 'right';
    if (part.side === 'right' && other.tip >= 0) {
      const image = mirror.vertexPartners[other.tip]!;
      if (image >= 0) part.tip = image;
    }
  });
}

/** Per part 1 for the left and -1 for the right of a pair that was named so, by where the two grow from; 0 for others. */
function tellSides(parts: readonly MirroredPart[], partners: readonly number[]): number[] {
  const sign = ({ side }: MirroredPart) => Number(side === 'left') - Number(side === 'right');
  return parts.map((part, p) => {
    const other = parts[partners[p]!];
    return other && sign(other) === -sign(part) ? sign(part) : 0;
  });
}

/**
 * 1 per face that decides for its partner: on the left part of a pair. Where both lie on one part, as one leg may take
 * something of the other, it is the one on that part's side of the plane; elsewhere the left one. Ties go to the lower.
 */
function markDeciding(
  facePartners: Int32Array,
  faceParts: Int32Array,
  signs: readonly number[],
  sides: Int32Array,
): Uint8Array {
  return Uint8Array.from(facePartners, (g, f) => {
    if (g < 0) return 0;
    const sign = signs[faceParts[f]!]!;
    const order = sign - signs[faceParts[g]!]! || (sides[f]! - sides[g]!) * (sign || 1) || g - f;
    return Number(order > 0);
  });
}

/** The part that best covers each part's mirror image (twice the common area over both areas), where that holds both ways; -1 otherwise. */
function matchParts(
  facePartners: Int32Array,
  faceAreas: Float64Array,
  faceParts: Int32Array,
  parts: readonly MirroredPart[],
): number[] {
  const shares = parts.map(() => new Map<number, number>());
  const areas = new Float64Array(parts.length);
  for (let f = 0; f < faceParts.length; f++) {
    const g = facePartners[f]!;
    if (g < 0) continue;
    const map = shares[faceParts[f]!]!;
    areas[faceParts[f]!]! += faceAreas[f]!;
    map.set(faceParts[g]!, (map.get(faceParts[g]!) ?? 0) + faceAreas[f]!);
  }
  const best = shares.map((map, p) => {
    let most = 0;
    let part = -1;
    for (const [q, area] of [...map].sort((a, b) => a[0] - b[0])) {
      const cover = (2 * area) / (areas[p]! + areas[q]!);
      if (cover <= most) continue;
      most = cover;
      part = q;
    }
    return part;
  });
  // A part is no partner of the one it grows from: then one side has it and the other does not.
  const isKin = (p: number, q: number) => p !== q && parts[p]!.parent < 0 !== parts[q]!.parent < 0;
  return best.map((q, p) => {
    if (q >= 0 && best[q] === p && !isKin(p, q)) return q;
    return parts[p]!.parent < 0 && shares[p]!.has(p) ? p : -1;
  });
}

/** Whether a part's mirror image lies almost wholly on another part. */
function isWhole(faceParts: Int32Array, facePartners: Int32Array, part: number, on: number): boolean {
  let inside = 0;
  let all = 0;
  for (let f = 0; f < faceParts.length; f++) {
    if (faceParts[f] !== part) continue;
    all++;
    const g = facePartners[f]!;
    if (g >= 0 && faceParts[g] === on) inside++;
  }
  return inside > 0.9 * all;
}
