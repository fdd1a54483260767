import { describe, expect, it } from 'vitest';
import { buildMesh, seamMask } from '../../src/mesh/index.js';
import type { SeamHints } from '../../src/proposing/index.js';
import { proposeSeams, settleCharts } from '../../src/proposing/index.js';
import { makeMarionette } from '../../src/testing/index.js';

const puppet = makeMarionette({ faces: 900 });
const mesh = buildMesh(puppet.mesh);
const propose = (hints: SeamHints) => proposeSeams(mesh, { hints });
const ends = (e: number): [number, number] => {
  const h = mesh.edgeHalfEdges[e]!;
  return [mesh.cornerPoints[h]!, mesh.cornerPoints[mesh.next[h]!]!];
};
const plain = await proposeSeams(mesh);
const plainMask = seamMask(mesh, plain.sets[0]!.seams);
const uncut = plainMask.indexOf(0);

describe('hints', () => {
  it('changed one after another give what each gives on a mesh that nothing is remembered of', async () => {
    const opening = plain.sets[0]!.seams.find((seam) => seam.role === 'opening' && seam.edges.length > 3)!;
    const paint = Array.from({ length: mesh.faceCount }, (_, f) => (f % 3) / 2);
    for (const hints of [
      { avoid: opening.edges.slice(1, 2) },
      { avoid: opening.edges.slice(2, 3), keep: [ends(uncut)] },
      { paint },
      {},
    ]) {
      const again = await propose(hints);
      const fresh = await proposeSeams(buildMesh(puppet.mesh), { hints });
      expect(JSON.stringify(again)).toBe(JSON.stringify(fresh));
    }
  });

  it('keep: the edge is cut in every set, and its mirror image with it', async () => {
    for (const set of (await propose({ keep: [ends(uncut)] })).sets) {
      expect(seamMask(mesh, set.seams)[uncut]).toBe(1);
      const kept = set.seams.filter((seam) => seam.role === 'kept').flatMap((seam) => seam.edges);
      const [a, b] = ends(uncut).map((p) => puppet.pointPartners[p]!);
      expect(kept.some((pair) => pair.includes(a!) && pair.includes(b!))).toBe(true);
    }
  });

  it('keep: on one side only where its mirror image is to be avoided', async () => {
    const image = ends(uncut).map((p) => puppet.pointPartners[p]!) as [number, number];
    const { sets, conflicts } = await propose({ keep: [ends(uncut)], avoid: [image] });
    const isImage = (pair: readonly number[]) => image.every((p) => pair.includes(p));
    for (const { seams } of sets) {
      expect(seamMask(mesh, seams)[uncut]).toBe(1);
      expect(seams.flatMap(({ edges }) => edges).some(isImage)).toBe(false);
    }
    expect(conflicts).toEqual([]);
  });

  it('avoid: the edge stays whole where anything else will do', async () => {
    const opening = plain.sets[0]!.seams.find((seam) => seam.role === 'opening' && seam.edges.length > 3)!;
    const avoid = opening.edges.slice(1, 2);
    for (const set of (await propose({ avoid })).sets) {
      const isSeam = seamMask(mesh, set.seams);
      const isAvoided = seamMask(mesh, [{ edges: avoid }]);
      expect(isAvoided.some((x, e) => x === 1 && isSeam[e] === 1)).toBe(false);
    }
  });

  it('avoid: what cannot be avoided is reported by name', async () => {
    const avoidFaces = Array.from({ length: mesh.faceCount }, (_, f) => f);
    const { conflicts } = await propose({ avoidFaces });
    expect(conflicts.some(({ hint }) => hint === 'avoid')).toBe(true);
  });

  it('avoidFaces: a part is left whole when something else makes disks, whatever it stretches', async () => {
    const avoidFaces = [...puppet.faceParts.keys()].filter(
      (f) => puppet.parts[puppet.faceParts[f]!]!.name === 'hand',
    );
    const isHand = new Set(avoidFaces);
    for (const set of (await propose({ avoidFaces })).sets) {
      const isSeam = seamMask(mesh, set.seams);
      for (const h of mesh.cornerVertices.keys()) {
        const t = mesh.twin[h]!;
        if (isHand.has(mesh.cornerFaces[h]!) && t >= 0 && isHand.has(mesh.cornerFaces[t]!))
          expect(isSeam[mesh.halfEdgeEdges[h]!], set.name).toBe(0);
      }
    }
  });

  it('say when a limit gives way to them, or cannot be had at all', async () => {
    const avoidFaces = [...puppet.faceParts.keys()];
    const { conflicts } = await proposeSeams(mesh, { hints: { avoidFaces }, stretchLimit: 4.3 });
    expect(conflicts.find(({ hint }) => hint === 'stretchLimit')?.message).toMatch(/will stretch beyond 4.3/);
    expect(plain.conflicts).toEqual([]);
  });

  it('settled: a chart of a set stays as it is, and only the rest is proposed', async () => {
    for (const chosen of plain.sets) {
      const i = chosen.charts.findIndex(({ part }) => part === 'leg' || part === 'body');
      const chart = chosen.charts[i]!;
      const settled = settleCharts(chosen, [i]);
      const before = seamMask(mesh, chosen.seams);
      const proposal = await proposeSeams(mesh, { hints: { settled }, symmetry: 'off', sets: 6 });
      for (const set of proposal.sets) {
        const isSeam = seamMask(mesh, set.seams);
        for (const f of chart.faces)
          for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++)
            expect(isSeam[mesh.halfEdgeEdges[h]!], set.name).toBe(before[mesh.halfEdgeEdges[h]!]);
        expect(set.charts.some(({ faces }) => faces.join() === chart.faces.join())).toBe(true);
      }
    }
  });

  it('faceGroups: the border of a group is cut', async () => {
    const group = puppet.faceParts.reduce<number[]>((faces, part, f) => {
      if (puppet.parts[part]!.name === 'head') faces.push(f);
      return faces;
    }, []);
    const inGroup = new Set(group);
    for (const set of (await propose({ faceGroups: [group] })).sets) {
      const isSeam = seamMask(mesh, set.seams);
      for (let h = 0; h < mesh.cornerCount; h++) {
        const t = mesh.twin[h]!;
        if (t < 0 || inGroup.has(mesh.cornerFaces[h]!) === inGroup.has(mesh.cornerFaces[t]!)) continue;
        expect(isSeam[mesh.halfEdgeEdges[h]!]).toBe(1);
      }
    }
  });

  it('waypoints: a seam passes through them', async () => {
    const [a] = ends(uncut);
    const far = plain.sets[0]!.seams[0]!.vertices[0]!;
    for (const set of (await propose({ waypoints: [[a!, far]] })).sets) {
      const points = new Set(set.seams.flatMap((seam) => seam.vertices));
      expect(points.has(a!)).toBe(true);
      expect(points.has(far)).toBe(true);
    }
  });

  it('existingUvs: the seams of an old layout are cut again', async () => {
    const uvs = new Float64Array(2 * mesh.cornerCount);
    for (let c = 0; c < mesh.cornerCount; c++) {
      const isHead = puppet.parts[puppet.faceParts[mesh.cornerFaces[c]!]!]!.name === 'head';
      uvs[2 * c] = mesh.points[3 * mesh.cornerPoints[c]!]! + (isHead ? 10 : 0);
      uvs[2 * c + 1] = mesh.points[3 * mesh.cornerPoints[c]! + 1]!;
    }
    const { sets } = await propose({ existingUvs: uvs });
    for (const set of sets) expect(set.seams.some((seam) => seam.role === 'kept')).toBe(true);
  });

  it('paint: seams leave what is painted to be left alone', async () => {
    const painted = new Set<number>();
    const target = plain.sets[0]!.seams.find((seam) => seam.role === 'opening' && seam.part === 'torso');
    const points = new Set((target ?? plain.sets[0]!.seams[0]!).vertices);
    const paint = new Float64Array(mesh.faceCount).fill(0.5);
    for (let c = 0; c < mesh.cornerCount; c++) {
      if (!points.has(mesh.cornerPoints[c]!)) continue;
      paint[mesh.cornerFaces[c]!] = 1;
      painted.add(mesh.cornerFaces[c]!);
    }
    const lengthIn = (sets: typeof plain.sets) => {
      const isSeam = seamMask(mesh, sets[0]!.seams);
      let count = 0;
      for (let h = 0; h < mesh.cornerCount; h++)
        if (isSeam[mesh.halfEdgeEdges[h]!] && painted.has(mesh.cornerFaces[h]!)) count++;
      return count;
    };
    expect(lengthIn((await propose({ paint })).sets)).toBeLessThanOrEqual(lengthIn(plain.sets));
  });
});
