/** Marks of the artist, in the caller's points and faces. */
export interface Marks {
  readonly keep: ReadonlySet<string>;
  readonly avoid: ReadonlySet<string>;
  /** Chains of points; the last one is being drawn. */
  readonly waypoints: readonly (readonly number[])[];
  readonly pins: readonly (readonly number[])[];
  /** Faces that were painted, 0 draws seams in and 1 pushes them away. */
  readonly paint: ReadonlyMap<number, number>;
  /** What else a hints file said; it is saved again as it was. */
  readonly rest: Readonly<Record<string, unknown>>;
}

export const NO_MARKS: Marks = Object.freeze({
  keep: new Set<string>(),
  avoid: new Set<string>(),
  waypoints: [],
  pins: [],
  paint: new Map<number, number>(),
  rest: {},
});

/** An edge as a word: its lower point first. */
export const edgeKey = (a: number, b: number): string => (a < b ? `${a} ${b}` : `${b} ${a}`);

/** The two points of an edge's word. */
export const edgeEnds = (key: string): [number, number] => key.split(' ').map(Number) as [number, number];

/** Edges marked one way, and no longer the other; when all were so already, the marks come off. */
export function markEdges(marks: Marks, kind: 'keep' | 'avoid', keys: readonly string[]): Marks {
  const other = kind === 'keep' ? 'avoid' : 'keep';
  const own = new Set(marks[kind]);
  const others = new Set(marks[other]);
  const isOn = !keys.every((key) => own.has(key));
  for (const key of keys) {
    if (isOn) own.add(key);
    else own.delete(key);
    others.delete(key);
  }
  return { ...marks, [kind]: own, [other]: others };
}

/** Adds a point to the last chain, which must be open; taking the last point again takes it back. */
export function addPoint(marks: Marks, kind: 'waypoints' | 'pins', point: number): Marks {
  const chains = marks[kind];
  const last = chains[chains.length - 1] ?? [];
  const longer = last[last.length - 1] === point ? last.slice(0, -1) : [...last, point];
  return { ...marks, [kind]: [...chains.slice(0, -1), longer] };
}

/** Ends the last chain, so that the next point begins another. */
export function endChain(marks: Marks, kind: 'waypoints' | 'pins'): Marks {
  const chains = marks[kind].filter((chain) => chain.length > 0);
  return { ...marks, [kind]: [...chains, []] };
}

/** Paints faces. */
export function paintFaces(marks: Marks, faces: readonly number[], value: number): Marks {
  const paint = new Map(marks.paint);
  for (const f of faces) paint.set(f, value);
  return { ...marks, paint };
}

/** Takes off all marks on faces, edges and points. */
export function rubOut(
  marks: Marks,
  faces: readonly number[],
  points: ReadonlySet<number>,
  keys: readonly string[],
): Marks {
  const paint = new Map(marks.paint);
  for (const f of faces) paint.delete(f);
  const without = (set: ReadonlySet<string>) => {
    const rest = new Set(set);
    for (const key of keys) rest.delete(key);
    return rest;
  };
  const trim = (chains: Marks['pins']) => chains.map((chain) => chain.filter((p) => !points.has(p)));
  return {
    keep: without(marks.keep),
    avoid: without(marks.avoid),
    waypoints: trim(marks.waypoints),
    pins: trim(marks.pins),
    paint,
    rest: marks.rest,
  };
}

/** Counts for a line of text. */
export function countMarks({ keep, avoid, waypoints, pins, paint }: Marks): string {
  const count = (n: number, one: string, many = `${one}s`) => (n === 0 ? '' : `${n} ${n === 1 ? one : many}`);
  const points = (chains: Marks['pins']) => chains.reduce((sum, chain) => sum + chain.length, 0);
  const words = [
    count(keep.size, 'edge to cut', 'edges to cut'),
    count(avoid.size, 'edge to avoid', 'edges to avoid'),
    count(points(waypoints), 'waypoint'),
    count(points(pins), 'pin'),
    count(paint.size, 'painted face'),
  ].filter((text) => text !== '');
  return words.length === 0 ? 'Nothing marked yet.' : `${words.join(', ')}.`;
}

/** The hints file that these marks stand for: the same marks give the same text. */
export function writeHints(marks: Marks, faceCount: number): string {
  const pairs = (keys: ReadonlySet<string>) =>
    [...keys].map(edgeEnds).sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const chains = (list: Marks['pins'], least: number) => list.filter((chain) => chain.length >= least);
  const hints: Record<string, unknown> = { version: 1, ...marks.rest };
  if (marks.keep.size > 0) hints.keep = pairs(marks.keep);
  if (marks.avoid.size > 0) hints.avoid = pairs(marks.avoid);
  if (marks.paint.size > 0)
    hints.paint = Array.from({ length: faceCount }, (_, f) => marks.paint.get(f) ?? 0.5);
  const waypoints = chains(marks.waypoints, 2);
  if (waypoints.length > 0) hints.waypoints = waypoints;
  const pins = chains(marks.pins, 2);
  if (pins.length > 0) hints.pins = pins;
  return `${JSON.stringify(hints)}\n`;
}

/** Reads a hints file of this model. Throws an Error in plain words when it does not fit. */
export function readHints(text: string, pointCount: number, faceCount: number): Marks {
  const value: unknown = JSON.parse(text);
  if (typeof value !== 'object' || value === null) throw new Error('The file holds no hints.');
  const hints = value as Record<string, unknown>;
  const chains = (name: string): number[][] => {
    const list = hints[name] ?? [];
    const isFit =
      Array.isArray(list) &&
      list.every(
        (chain) =>
          Array.isArray(chain) && chain.every((p) => Number.isInteger(p) && p >= 0 && p < pointCount),
      );
    if (!isFit) throw new Error(`The file's ${name} do not fit this model.`);
    return list as number[][];
  };
  const edges = (name: string) => new Set(chains(name).map(([a, b]) => edgeKey(a!, b!)));
  const paint = new Map<number, number>();
  if (hints.paint !== undefined) {
    const list = hints.paint;
    if (!Array.isArray(list) || list.length !== faceCount)
      throw new Error("The file's paint does not fit this model.");
    list.forEach((x: unknown, f) => {
      if (typeof x === 'number' && x !== 0.5) paint.set(f, x);
    });
  }
  const { version: _version, keep: _keep, avoid: _avoid, waypoints, pins, paint: _paint, ...rest } = hints;
  return {
    keep: edges('keep'),
    avoid: edges('avoid'),
    waypoints: waypoints ? chains('waypoints') : [],
    pins: pins ? chains('pins') : [],
    paint,
    rest,
  };
}
