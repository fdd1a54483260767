import type { LayoutReport } from '../distortion/index.js';
import { measureLayout } from '../distortion/index.js';
import type { AxisOptions } from '../fields/index.js';
import type { FlatSet } from '../flattening/index.js';
import type { FlatChartLike, Layout, LayoutOptions } from '../layout/index.js';
import { arrangeCharts, pickFlatChart } from '../layout/index.js';
import type { Mesh } from '../mesh/index.js';
import type { DrawnSet, SurfaceView } from '../report/index.js';
import { drawLayout, SurfacePainter, standardViews } from '../report/index.js';

/** A flattened set that is to become a sheet; plain data, so that it can go to another thread. */
export interface SheetRequest {
  readonly charts: readonly FlatChartLike[];
  readonly layout: Omit<LayoutOptions, 'signal' | 'keepGoing'>;
  /** What to draw besides; nothing when left out. */
  readonly drawing?: SheetDrawing | undefined;
}

export interface SheetDrawing {
  readonly set: DrawnSet;
  readonly title: string;
  readonly axes: AxisOptions;
}

export interface SheetPictures {
  readonly svg: string;
  readonly png: Uint8Array;
}

export interface FinishedSheet {
  readonly layout: Layout;
  readonly measured: LayoutReport;
  readonly pictures: SheetPictures | undefined;
}

/** Size of one view of the model in pixels. */
const VIEW_SIZE = { width: 420, height: 560 };

/** Packs, measures and draws one set after another on one mesh. */
export class SheetFinisher {
  readonly #mesh: Mesh;
  #painter: SurfacePainter | undefined;
  /** The painter knows a view it has drawn by its identity. */
  #views: { readonly key: string; readonly list: readonly SurfaceView[] } | undefined;

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
  }

  finish({ charts, layout: options, drawing }: SheetRequest, signal?: AbortSignal): FinishedSheet {
    const layout = arrangeCharts(this.#mesh, { charts }, { ...options, ...(signal && { signal }) });
    const measured = measureLayout(this.#mesh, layout.uvs, { resolution: layout.resolution });
    return { layout, measured, pictures: drawing && this.#draw(layout, drawing) };
  }

  #draw(layout: Layout, { set, title, axes }: SheetDrawing): SheetPictures {
    this.#painter ??= new SurfacePainter(this.#mesh, VIEW_SIZE);
    const key = JSON.stringify(axes);
    if (this.#views?.key !== key)
      this.#views = { key, list: standardViews(axes).filter(({ name }) => name !== 'above') };
    return {
      svg: drawLayout(this.#mesh, layout, set, { title }),
      png: this.#painter.draw(set, this.#views.list),
    };
  }
}

/** Only what is needed of a flat set and its seams, as all of it is copied on its way to a thread. */
export function requestSheet(flat: FlatSet, request: Omit<SheetRequest, 'charts'>): SheetRequest {
  const { layout, drawing } = request;
  return {
    charts: flat.charts.map(pickFlatChart),
    layout,
    drawing: drawing && {
      ...drawing,
      set: {
        seams: drawing.set.seams.map(({ edges, role, part, side, length }) => ({
          edges,
          role,
          part,
          side,
          length,
        })),
        charts: drawing.set.charts?.map(({ faces, part, side }) => ({ faces, part, side })) ?? [],
      },
    },
  };
}
