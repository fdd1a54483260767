import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createUsda, readUsda, writeUsda } from '../../src/io/index.js';
import { anyCutShape, CUBE, cutUvs, largestDifference } from './shapes.js';

const STAGE = `#usda 1.0
(
    """A puppet's
    hand"""
    defaultPrim = "Puppet"
    metersPerUnit = 0.1
    upAxis = "Z"
    customLayerData = { string note = "a { bracket"; int count = 3 }
)

def Xform "Puppet" (
    kind = "component"
    prepend apiSchemas = ["SkelBindingAPI"]
    references = @other.usda@</Root>
)
{
    double3 xformOp:translate = (1, 2, 3)
    float xformOp:rotateZ = 90
    double3 xformOp:translate:pivot = (0, 0, 0)
    uniform token[] xformOpOrder = ["xformOp:translate", "xformOp:translate:pivot", "xformOp:rotateZ", "!invert!xformOp:translate:pivot"]
    rel skel:skeleton = </Puppet/Skel> # a comment with a "quote
    token[] joints = ["a", "b"]

    def Mesh "Hand" (
        active = true
    )
    {
        int[] faceVertexCounts = [4, 3]
        int[] faceVertexIndices = [0, 1, 2, 3, 3, 2, 4]
        point3f[] points.timeSamples = {
            0: [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0.5, 2, 0)],
            1: [(9, 9, 9), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0.5, 2, 0)],
        }
        normal3f[] normals = [(0, 0, 1)] ( interpolation = "constant" )
        uniform token subdivisionScheme = "catmullClark"
        texCoord2d[] primvars:st = [(0, 0), (1, 0), (1, 1), (0, 1), (0.5, 1)] (
            interpolation = "vertex"
        )
        float[] primvars:weight = [0.5] (
            elementSize = 1
            interpolation = "constant"
        )

        def GeomSubset "Palm" (
            prepend apiSchemas = ["MaterialBindingAPI"]
        )
        {
            uniform token elementType = "face"
            uniform token familyName = "materialBind"
            int[] indices = [0]
            rel material:binding = </Puppet/Oak>
        }

        def GeomSubset "old_chart"
        {
            uniform token elementType = "face"
            uniform token familyName = "charts"
            int[] indices = [0, 1]
        }
    }

    def Scope "Oak"
    {
        asset inputs:file = @./wood [1].png@
        custom string note = 'it\\'s oak'
        reorder nameChildren = ["a"]
        variantSet "look" = {
            "new" { def Mesh "Hidden" { int[] faceVertexCounts = [3] } }
        }
    }

    def Mesh "Nail"
    {
        uniform token orientation = "leftHanded"
        int[] faceVertexCounts = [3]
        int[] faceVertexIndices = [0, 1, 2]
        point3f[] points = [(0, 0, 1), (1, 0, 1), (0, 1, 1)]
    }

    over "Elsewhere" { def Mesh "NotDefined" { int[] faceVertexCounts = [3] } }
    def Mesh "Asleep" ( active = false ) { int[] faceVertexCounts = [7] }
}
`;

describe('readUsda', () => {
  const document = readUsda(STAGE);

  test('reads Mesh prims where their transforms put them', () => {
    expect(document.prims.map(({ path, subdivisionScheme }) => [path, subdivisionScheme])).toEqual([
      ['/Puppet/Hand', 'catmullClark'],
      ['/Puppet/Nail', 'catmullClark'],
    ]);
    // Rotated by 90° about Z, then moved: (x, y, z) -> (1 - y, 2 + x, 3 + z).
    const expected = [1, 2, 3, 1, 3, 3, 0, 3, 3, 0, 2, 3, -1, 2.5, 3, 1, 2, 4, 1, 3, 4, 0, 2, 4];
    expect(largestDifference(document.mesh.points, expected)).toBeLessThan(1e-12);
    expect(Array.from(document.mesh.faceVertexCounts)).toEqual([4, 3, 3]);
    expect(document).toMatchObject({ upAxis: 'z', metersPerUnit: 0.1 });
  });

  test('turns left-handed faces round, so that all agree', () => {
    expect(Array.from(document.mesh.faceVertexIndices)).toEqual([0, 1, 2, 3, 3, 2, 4, 5, 7, 6]);
  });

  test('reads UVs of points, and none where a prim has none', () => {
    expect(Array.from(document.cornerUvs!.subarray(0, 14))).toEqual([
      0, 0, 1, 0, 1, 1, 0, 1, 0, 1, 1, 1, 0.5, 1,
    ]);
    expect(document.cornerUvs!.subarray(14).every(Number.isNaN)).toBe(true);
  });

  test('reads prims and subsets as groups, and tells what it passed over', () => {
    expect(document.faceGroups.map(({ kind, name, faces }) => [kind, name, ...faces])).toEqual([
      ['object', '/Puppet/Hand', 0, 1],
      ['material', 'Palm', 0],
      ['object', '/Puppet/Nail', 2],
    ]);
    expect(document.warnings.join('\n')).toMatch(/variants[^\n]*\n.*animated/);
  });

  // OpenUSD: UsdGeomXformOp names its rotations in the order of application; quaternions list the real part first.
  test.each([
    ['float xformOp:rotateX = 90', [0, 0, 1]],
    ['float3 xformOp:rotateXYZ = (90, 90, 0)', [1, 0, 0]],
    ['float3 xformOp:rotateZYX = (90, 0, 0)', [0, 0, 1]],
    ['quatf xformOp:orient = (0.70710678118654752, 0.70710678118654752, 0, 0)', [0, 0, 1]],
    ['float3 xformOp:scale = (2, 3, 4)', [0, 3, 0]],
    ['matrix4d xformOp:transform = ( (1, 0, 0, 0), (0, 0, 1, 0), (0, -1, 0, 0), (5, 6, 7, 1) )', [5, 6, 8]],
  ])('transform %s', (operation, expected) => {
    const name = /xformOp:\w+/.exec(operation)![0];
    const text = `#usda 1.0
def Mesh "A" { ${operation}
uniform token[] xformOpOrder = ["${name}"]
int[] faceVertexCounts = [3]
int[] faceVertexIndices = [0, 1, 2]
point3f[] points = [(0, 1, 0), (2, 0, 0), (0, 0, 2)] }`;
    expect(largestDifference(readUsda(text).mesh.points.slice(0, 3), expected)).toBeLessThan(1e-12);
  });
});

describe('writeUsda', () => {
  test('replaces UVs, seams and charts and leaves every other line', () => {
    const document = readUsda(STAGE);
    const cornerUvs = Float64Array.from({ length: 20 }, (_, i) => (i + 1) / 32);
    const text = writeUsda(document, cornerUvs, {
      seams: [
        {
          edges: [
            [2, 3],
            [5, 6],
          ],
          role: 'collar',
          reason: 'a "hidden" crease',
        },
      ],
      charts: [
        { faces: [0], part: 'hand' },
        { faces: [1, 2], part: 'nail' },
      ],
    });
    const lines = text.split('\n');
    const oldUvs = STAGE.split('\n').findIndex((line) => line.includes('primvars:st'));
    const kept = STAGE.split('\n').filter((_, i) => i < oldUvs || i > oldUvs + 2);
    const oldChart = kept.findIndex((line) => line.includes('old_chart'));
    kept.splice(oldChart, 6);
    let at = 0;
    for (const line of lines) if (line === kept[at]) at++;
    expect(kept.slice(at)).toEqual([]);

    const back = readUsda(text);
    expect(back.mesh).toEqual(document.mesh);
    expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-9);
    expect(back.seams.map(({ edges, role, reason }) => [edges, role, reason])).toEqual([
      [[[2, 3]], 'collar', 'a "hidden" crease'],
      [[[5, 6]], 'collar', 'a "hidden" crease'],
    ]);
    expect(text).toContain('texCoord2d[] primvars:st = [');
    expect(text).toContain('uniform token subsetFamily:charts:familyType = "partition"');
    expect(text.match(/familyName = "charts"/g)).toHaveLength(3);
    expect(writeUsda(back, cornerUvs, {})).not.toMatch(/"charts"|"seams"/);
  });

  // Field names of UsdGeomMesh, UsdGeomPrimvarsAPI and UsdGeomSubset in the OpenUSD schemas (from memory).
  test('writes only fields of the OpenUSD schemas', () => {
    const text = writeUsda(
      createUsda(CUBE, { upAxis: 'z', metersPerUnit: 0.01 }),
      cutUvs(CUBE, () => true).cornerUvs,
      {
        seams: [{ edges: [[0, 1]], role: 'kept' }],
        charts: [0, 1, 2, 3, 4, 5].map((f) => ({ faces: [f] })),
      },
    );
    const fields = [...text.matchAll(/^ +((?:uniform )?[\w[\]]+ [\w:]+) =/gm)].map(([, field]) => field);
    expect([...new Set(fields)].sort()).toEqual([
      'float3[] extent',
      'int[] faceVertexCounts',
      'int[] faceVertexIndices',
      'int[] indices',
      'int[] primvars:st:indices',
      'point3f[] points',
      'string role',
      'texCoord2f[] primvars:st',
      'uniform token elementType',
      'uniform token familyName',
      'uniform token subdivisionScheme',
      'uniform token subsetFamily:charts:familyType',
      'uniform token subsetFamily:seams:familyType',
    ]);
    expect(text).toContain('interpolation = "faceVarying"');
    expect(readUsda(text)).toMatchObject({ upAxis: 'z', metersPerUnit: 0.01 });
    expect(readUsda(text).prims[0]!.subdivisionScheme).toBe('none');
  });

  test('law: what is written reads back the same, and again to the same bytes', () => {
    fc.assert(
      fc.property(anyCutShape(), ({ input, cornerUvs }) => {
        const text = writeUsda(createUsda(input), cornerUvs);
        const back = readUsda(text);
        expect(Array.from(back.mesh.points)).toEqual(Array.from(input.points));
        expect(Array.from(back.mesh.faceVertexIndices)).toEqual(Array.from(input.faceVertexIndices));
        expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-9);
        expect(writeUsda(back, back.cornerUvs!)).toBe(text);
      }),
      { numRuns: 40 },
    );
  });

  test('keeps CRLF and prims written on one line', () => {
    const text = STAGE.replaceAll('\n', '\r\n');
    const written = writeUsda(readUsda(text), new Float64Array(20).fill(0.5));
    expect(written.replaceAll('\r\n', '')).not.toContain('\n');
    const short =
      '#usda 1.0\ndef Mesh "A" { int[] faceVertexCounts = [3]; int[] faceVertexIndices = [0, 1, 2]; point3f[] points = [(0, 0, 0), (1, 0, 0), (0, 1, 0)]; }';
    const once = writeUsda(readUsda(short), new Float64Array(6).fill(0.25));
    expect(once.startsWith(short.slice(0, -2))).toBe(true);
    expect(Array.from(readUsda(once).cornerUvs!)).toEqual(new Array(6).fill(0.25));
  });
});
