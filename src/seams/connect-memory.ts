import type { EdgePath } from '../graph/index.js';
import { BoundedMap } from '../structures/index.js';
import type { ChartFrame } from './chart-frame.js';

interface Connected {
  readonly paths: readonly EdgePath[];
  /** Cost per edge of the mesh under which the paths were found. */
  readonly costs: Float64Array;
}

/** Connections are kept while their names have no more characters than this. */
const KEPT_NAME_LENGTH = 2 ** 24;

/**
 * Remembers how charts were connected. What was found in a chart holds while the costs in it do, and also where an
 * edge has become dearer that no path took: every other way costs as much as before or more.
 */
export class ConnectMemory {
  readonly #known = new BoundedMap<string, Connected>(KEPT_NAME_LENGTH);

  recall(
    name: string,
    frame: ChartFrame,
    chart: number,
    costs: Float64Array,
  ): readonly EdgePath[] | undefined {
    const known = this.#known.get(name);
    if (!known) return undefined;
    if (known.costs === costs) return known.paths;
    const { mesh } = frame.cut;
    let taken: Set<number> | undefined;
    for (const f of frame.chartFaces(chart)) {
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const e = mesh.halfEdgeEdges[h]!;
        if (costs[e] === known.costs[e]) continue;
        if (costs[e]! < known.costs[e]!) return undefined;
        taken ??= new Set(known.paths.flatMap((path) => path.edges));
        if (taken.has(e)) return undefined;
      }
    }
    return known.paths;
  }

  keep(name: string, paths: readonly EdgePath[], costs: Float64Array): void {
    this.#known.set(name, { paths, costs }, name.length);
  }
}
