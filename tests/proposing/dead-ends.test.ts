import { describe, expect, it } from 'vitest';
import { buildMesh, vertexEdges } from '../../src/mesh/index.js';
import { findDeadEnds } from '../../src/proposing/dead-ends.js';
import { draftSeams } from '../../src/proposing/draft-seams.js';
import { placeCollars } from '../../src/proposing/place-collars.js';
import { STRATEGIES } from '../../src/proposing/strategies.js';
import { studyMesh } from '../../src/proposing/study-mesh.js';
import { findSeamArcs, SeamDraft } from '../../src/seams/index.js';
import { makeMarionette } from '../../src/testing/index.js';

describe('findDeadEnds', () => {
  const study = studyMesh(buildMesh(makeMarionette({ faces: 1500 }).mesh), {});
  const draft = draftSeams(study, placeCollars(study), STRATEGIES.at(-1)!, 4.5);
  const { edgePartners } = study.mirror!;

  it('lists mirror images together', () => {
    const ends = findDeadEnds(study, draft);
    const paired = ends.filter(({ twin }) => twin.length > 0);
    expect(paired.length).toBeGreaterThan(2);
    for (const { edges, twin } of paired) expect(twin).toEqual(edges.map((e) => edgePartners[e]));
    const all = ends.flatMap(({ edges, twin }) => [...edges, ...twin]);
    expect(new Set(all).size).toBe(all.length);
  });

  it('lists one alone whose image goes on, as to take both back would leave the rest hanging', () => {
    const { edges, twin } = findDeadEnds(study, draft).find((end) => end.twin.length > 0)!;
    const longer = new SeamDraft(study.mesh, draft);
    const arc = findSeamArcs(study.mesh, draft).find((each) => each.edges[0] === edges[0])!;
    // The loose end has one seam.
    const loose = [arc.vertices[0]!, arc.vertices.at(-1)!].find(
      (v) => vertexEdges(study.mesh, v).filter((e) => draft.isSeam[e]).length === 1,
    )!;
    const further = vertexEdges(study.mesh, loose).find((e) => !draft.isSeam[e])!;
    longer.add([further], arc.role);
    const listed = findDeadEnds(study, longer);
    const own = listed.find((end) => end.edges.includes(further));
    const image = listed.find((end) => end.edges.includes(twin[0]!));
    expect(own?.twin ?? []).toEqual([]);
    expect(image?.edges).toHaveLength(twin.length);
    expect(image?.twin).toEqual([]);
  });
});
