import type { BufferAttribute, MeshBasicMaterial, Points, Scene } from 'three';
import type { ReviewSet } from '../review/review-model.js';
import type { ChartFrames } from './chart-frames.js';
import { computeChartFrames } from './chart-frames.js';
import { LineObject } from './line-object.js';
import type { PageMesh } from './page-mesh.js';
import { makePaper } from './paper.js';
import { findStandIn, type StandIn } from './stand-in.js';
import type { PlaceUniforms } from './surface-object.js';
import { makePlaceUniforms, SurfaceObject } from './surface-object.js';

/** Everything drawn of one set; made when the set is first shown. */
export interface DrawnSet {
  readonly set: ReviewSet;
  readonly frames: ChartFrames;
  readonly place: PlaceUniforms;
  readonly surface: SurfaceObject;
  readonly seams: LineObject;
  readonly paper: Scene;
  readonly paperMaterial: MeshBasicMaterial;
  /** Made when it is first wanted. */
  readonly standIn: () => StandIn;
  marks: LineObject | undefined;
  dots: Points | undefined;
}

const SEAM_WIDTH = 3.4;

/** Makes what is drawn of a set, without marks. */
export function makeDrawnSet(
  mesh: PageMesh,
  set: ReviewSet,
  shared: Record<string, BufferAttribute>,
): DrawnSet {
  const frames = computeChartFrames(mesh, set);
  const place = makePlaceUniforms(frames);
  const [paper, paperMaterial] = makePaper(frames);
  let standIn: StandIn | undefined;
  return {
    set,
    frames,
    place,
    surface: new SurfaceObject(mesh, set, shared, place),
    seams: new LineObject(mesh, set, set.seams, place, SEAM_WIDTH),
    paper,
    paperMaterial,
    standIn: () => (standIn ??= findStandIn(mesh, set)),
    marks: undefined,
    dots: undefined,
  };
}
