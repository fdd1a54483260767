import { Color, type Vector3 } from 'three';
import type { Dot, LineGroup } from './line-object.js';
import type { Marks } from './marks.js';
import {
  addPoint,
  edgeEnds,
  edgeKey,
  endChain,
  markEdges,
  NO_MARKS,
  paintFaces,
  readHints,
  rubOut,
  writeHints,
} from './marks.js';
import type { PageMesh } from './page-mesh.js';
import type { PageStore } from './page-state.js';

const KEEP_COLOUR = '#0a5c5c';
const AVOID_COLOUR = '#23211d';
const CHAIN_COLOUR = '#7a3fa0';
const PIN_COLOUR = '#555046';
const UNDO_LIMIT = 100;

/** The marks with their history, their picture, and their file. */
export class MarkBook {
  readonly #mesh: PageMesh;
  readonly #store: PageStore;
  #marks: Marks = NO_MARKS;
  readonly #past: Marks[] = [];
  #pointCorners: Map<number, number[]> | undefined;
  /** What was wrong with a file, in words. */
  problem = '';

  constructor(mesh: PageMesh, store: PageStore) {
    this.#mesh = mesh;
    this.#store = store;
  }

  get marks(): Marks {
    return this.#marks;
  }

  get canUndo(): boolean {
    return this.#past.length > 0;
  }

  /** A click of a tool that marks edges or points; `corners` are those of the edge or of the point. */
  markEdge(kind: 'keep' | 'avoid', corner: number, isWholeLoop: boolean): void {
    const edge = this.#mesh.edgeAt(corner);
    const edges = isWholeLoop ? this.#mesh.findLoop(edge) : [edge];
    this.#change(
      markEdges(
        this.#marks,
        kind,
        edges.map(({ a, b }) => edgeKey(a, b)),
      ),
    );
  }

  markPoint(kind: 'waypoints' | 'pins', point: number): void {
    this.#change(addPoint(this.#marks, kind, point));
  }

  endChain(kind: 'waypoints' | 'pins'): void {
    this.#change(endChain(this.#marks, kind));
  }

  /** A stroke over faces; all pieces of one stroke are taken back together. */
  stroke(tool: 'draw-in' | 'push-away' | 'rub-out', faces: readonly number[], isFirst: boolean): void {
    let next: Marks;
    if (tool === 'rub-out') {
      const points = new Set<number>();
      const keys: string[] = [];
      for (const f of faces)
        for (let c = this.#mesh.faceOffsets[f]!; c < this.#mesh.faceOffsets[f + 1]!; c++) {
          points.add(this.#mesh.cornerPoints[c]!);
          keys.push(edgeKey(this.#mesh.cornerPoints[c]!, this.#mesh.cornerPoints[this.#mesh.nextCorner(c)]!));
        }
      next = rubOut(this.#marks, faces, points, keys);
    } else next = paintFaces(this.#marks, faces, tool === 'draw-in' ? 0 : 1);
    if (isFirst) this.#change(next);
    else {
      this.#marks = next;
      this.#tell();
    }
  }

  undo(): void {
    const last = this.#past.pop();
    if (!last) return;
    this.#marks = last;
    this.#tell();
  }

  clear(): void {
    this.#change(NO_MARKS);
  }

  /** Hands the hints file to the browser's downloads. */
  save(): void {
    const text = writeHints(this.#marks, this.#mesh.faceCount);
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
    link.download = 'hints.json';
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }

  load(text: string): void {
    try {
      const marks = readHints(text, this.#mesh.pointCount, this.#mesh.faceCount);
      for (const key of [...marks.keep, ...marks.avoid])
        if (!this.#mesh.findEdge(...edgeEnds(key)))
          throw new Error(`The file names an edge ${key} that this model lacks.`);
      this.#change(marks);
    } catch (error) {
      this.problem = error instanceof Error ? error.message : String(error);
      this.#store.set({ marks: this.#store.state.marks + 1 });
    }
  }

  /** Faces whose middle lies within a radius of a place on the model. */
  facesNear(centre: Vector3, radius: number, face: number): number[] {
    const { faceOffsets, cornerPoints, positions } = this.#mesh;
    const near = [face];
    for (let f = 0; f < this.#mesh.faceCount; f++) {
      const count = faceOffsets[f + 1]! - faceOffsets[f]!;
      let [x, y, z] = [0, 0, 0];
      for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) {
        const p = 3 * cornerPoints[c]!;
        x += positions[p]! / count;
        y += positions[p + 1]! / count;
        z += positions[p + 2]! / count;
      }
      if (f !== face && (x - centre.x) ** 2 + (y - centre.y) ** 2 + (z - centre.z) ** 2 < radius * radius)
        near.push(f);
    }
    return near;
  }

  /** Lines and dots to draw. */
  picture(): { lines: LineGroup[]; dots: Dot[] } {
    const { keep, avoid, waypoints, pins } = this.#marks;
    const edges = (keys: ReadonlySet<string>) =>
      [...keys].flatMap((key) => this.#mesh.findEdge(...edgeEnds(key))?.corners ?? []);
    const chains = (list: Marks['pins']) =>
      list.flatMap((chain) =>
        chain.slice(1).flatMap((p, i) => this.#mesh.findEdge(chain[i]!, p)?.corners ?? []),
      );
    const dots = (list: Marks['pins'], kind: 0 | 1): Dot[] =>
      list.flat().map((p) => ({ kind, corners: this.#cornersOf(p) }));
    return {
      lines: [
        { corners: edges(keep), colour: KEEP_COLOUR, dash: '' },
        { corners: edges(avoid), colour: AVOID_COLOUR, dash: '0.7 0.9' },
        { corners: chains(waypoints), colour: CHAIN_COLOUR, dash: '' },
        { corners: chains(pins), colour: PIN_COLOUR, dash: '2 1' },
      ],
      dots: [...dots(waypoints, 0), ...dots(pins, 1)],
    };
  }

  /** Lays the paint over face colours. */
  tint(colours: Uint8Array): Uint8Array {
    if (this.#marks.paint.size === 0) return colours;
    const tinted = colours.slice();
    const [welcome, unwelcome] = [new Color().setStyle('#2f8f8f', ''), new Color().setStyle('#8a2f4a', '')];
    for (const [f, value] of this.#marks.paint) {
      const ink = value < 0.5 ? welcome : unwelcome;
      const part = 1.2 * Math.abs(value - 0.5);
      [ink.r, ink.g, ink.b].forEach((x, k) => {
        tinted[3 * f + k] = tinted[3 * f + k]! * (1 - part) + 255 * x * part;
      });
    }
    return tinted;
  }

  #cornersOf(point: number): number[] {
    if (!this.#pointCorners) {
      this.#pointCorners = new Map();
      this.#mesh.cornerPoints.forEach((p, c) => {
        const list = this.#pointCorners!.get(p);
        if (list) list.push(c);
        else this.#pointCorners!.set(p, [c]);
      });
    }
    return this.#pointCorners.get(point) ?? [];
  }

  #change(marks: Marks): void {
    this.#past.push(this.#marks);
    if (this.#past.length > UNDO_LIMIT) this.#past.shift();
    this.#marks = marks;
    this.#tell();
  }

  #tell(): void {
    this.problem = '';
    this.#store.set({ marks: this.#store.state.marks + 1 });
  }
}
