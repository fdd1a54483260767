import type { MeshInput } from '../../mesh/index.js';
import { appendTo } from '../../structures/index.js';
import { ByteSink } from '../growable.js';
import type { FaceGroup } from '../source-document.js';
import type { ObjDocument } from './read-obj.js';
import { readObj } from './read-obj.js';

/** OBJ keyword under which each kind of group is written. */
const KEYWORDS: Readonly<Record<FaceGroup['kind'], string>> = Object.freeze({
  object: 'o',
  group: 'g',
  subset: 'g',
  material: 'usemtl',
});

/**
 * An OBJ document for a mesh that came from elsewhere: its points and faces in their order, its groups as
 * `o`, `g` and `usemtl` statements (blanks in names become underscores). Give it to `writeObj`.
 */
export function createObj(mesh: MeshInput, faceGroups: readonly FaceGroup[] = []): ObjDocument {
  const sink = new ByteSink(32 * (mesh.points.length / 3 + mesh.faceVertexCounts.length));
  for (let i = 0; i < mesh.points.length; i += 3) {
    sink.pushAscii(`v ${mesh.points[i]} ${mesh.points[i + 1]} ${mesh.points[i + 2]}\n`);
  }
  const changes = listChanges(faceGroups, mesh.faceVertexCounts.length);
  const encoder = new TextEncoder();
  let corner = 0;
  for (let f = 0; f < mesh.faceVertexCounts.length; f++) {
    for (const line of changes.get(f) ?? []) {
      const bytes = encoder.encode(line);
      sink.pushRange(bytes, 0, bytes.length);
    }
    sink.pushAscii('f');
    for (const end = corner + mesh.faceVertexCounts[f]!; corner < end; corner++) {
      sink.pushAscii(` ${mesh.faceVertexIndices[corner]! + 1}`);
    }
    sink.pushAscii('\n');
  }
  return readObj(sink.toBytes(), { maxBytes: Infinity, maxElements: Infinity });
}

/** Statements to write before a face, by face: one for each keyword whose names change there. */
function listChanges(faceGroups: readonly FaceGroup[], faceCount: number): Map<number, string[]> {
  const changes = new Map<number, string[]>();
  for (const keyword of ['o', 'g', 'usemtl']) {
    const groups = faceGroups.filter(({ kind }) => KEYWORDS[kind] === keyword);
    const starts = new Map<number, number[]>();
    const ends = new Map<number, number[]>();
    groups.forEach(({ faces }, id) => {
      for (let i = 0; i < faces.length; i++) {
        if (i === 0 || faces[i] !== faces[i - 1]! + 1) appendTo(starts, faces[i]!, id);
        if (i + 1 === faces.length || faces[i + 1] !== faces[i]! + 1) appendTo(ends, faces[i]! + 1, id);
      }
    });
    const open = new Set<number>();
    for (const f of [...new Set([...starts.keys(), ...ends.keys()])].sort((a, b) => a - b)) {
      for (const id of ends.get(f) ?? []) open.delete(id);
      for (const id of starts.get(f) ?? []) open.add(id);
      if (f >= faceCount) break;
      const names = [...open].sort((a, b) => a - b).map((id) => cleanName(groups[id]!.name));
      // Only a group may have several names at once.
      const written = keyword === 'g' ? names.join(' ') : (names[0] ?? '');
      appendTo(changes, f, `${keyword} ${written || 'none'}\n`);
    }
  }
  return changes;
}

const cleanName = (name: string): string => name.trim().replace(/[\s\\#]+/g, '_') || 'unnamed';
