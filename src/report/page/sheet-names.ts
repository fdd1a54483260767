import { type Camera, Vector3 } from 'three';
import type { ReviewSet } from '../review/review-model.js';
import type { ChartFrames } from './chart-frames.js';
import { placeCorner } from './chart-frames.js';
import { element } from './dom.js';
import type { PageMesh } from './page-mesh.js';
import type { Panel } from './panel.js';

/** Pixels that a letter takes, about; a name wider than its piece is left out. */
const LETTER = 7;

interface NameSpot {
  readonly text: string;
  /** Page units. */
  readonly place: Vector3;
  /** Width of the piece on the sheet, page units. */
  readonly width: number;
}

/** Names of the pieces on a panel that shows the sheet. The lists say the same to a screen reader. */
export class SheetNames {
  readonly #mesh: PageMesh;
  readonly #spots = new WeakMap<ReviewSet, readonly NameSpot[]>();
  readonly #layers = new Map<Panel, HTMLElement>();

  constructor(mesh: PageMesh) {
    this.#mesh = mesh;
  }

  /** Puts the names where the camera of the panel sees their pieces. */
  show(panel: Panel, set: ReviewSet, frames: ChartFrames, camera: Camera): void {
    let layer = this.#layers.get(panel);
    if (!layer) {
      layer = element('div', { class: 'names', 'aria-hidden': 'true' });
      this.#layers.set(panel, layer);
      panel.window.append(layer);
    }
    let spots = this.#spots.get(set);
    if (!spots) this.#spots.set(set, (spots = findSpots(this.#mesh, set, frames)));
    const { clientWidth: width, clientHeight: height } = panel.window;
    const unit = (camera.projectionMatrix.elements[0]! * width) / 2;
    const at = new Vector3();
    const names = spots.flatMap((spot) => {
      at.copy(spot.place).project(camera);
      if (Math.abs(at.x) > 1 || Math.abs(at.y) > 1 || spot.text.length * LETTER > spot.width * unit)
        return [];
      const style = `left:${((at.x + 1) / 2) * width}px;top:${((1 - at.y) / 2) * height}px`;
      return [element('span', { style }, spot.text)];
    });
    layer.replaceChildren(...names);
  }
}

/** On each piece the corner that is nearest to the mean of all. */
function findSpots(mesh: PageMesh, set: ReviewSet, frames: ChartFrames): NameSpot[] {
  const { uvs, faceCharts } = set;
  const low = new Float64Array(set.charts.length).fill(Infinity);
  const high = new Float64Array(set.charts.length).fill(-Infinity);
  const corners = new Int32Array(set.charts.length).fill(-1);
  const least = new Float64Array(set.charts.length).fill(Infinity);
  for (let c = 0; c < mesh.cornerPoints.length; c++) {
    const chart = faceCharts[mesh.cornerFaces[c]!]!;
    const [u, v] = [uvs[2 * c]!, uvs[2 * c + 1]!];
    if (chart < 0 || !Number.isFinite(u)) continue;
    low[chart] = Math.min(low[chart]!, u);
    high[chart] = Math.max(high[chart]!, u);
    const o = 12 * chart + 8;
    const distance = (u - frames.values[o]!) ** 2 + (v - frames.values[o + 1]!) ** 2;
    if (distance < least[chart]!) [least[chart], corners[chart]] = [distance, c];
  }
  return set.charts.flatMap(({ label }, i) =>
    corners[i]! < 0 || label === ''
      ? []
      : [
          {
            text: label,
            place: placeCorner(mesh, set, frames, corners[i]!, { open: 1, carry: 1 }),
            width: (high[i]! - low[i]!) * frames.sheetSize,
          },
        ],
  );
}
