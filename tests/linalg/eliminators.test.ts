import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { FactorTask } from '../../src/linalg/block-eliminator.js';
import type { Assembly } from '../../src/linalg/compiled-eliminator.js';
import { openCompiledEliminator } from '../../src/linalg/compiled-eliminator.js';
import { factorBlocks } from '../../src/linalg/factor-blocks.js';
import type { SymmetricMatrix } from '../../src/linalg/index.js';
import { analyse, LdlSolver } from '../../src/linalg/index.js';
import { PlainEliminator } from '../../src/linalg/plain-eliminator.js';
import { assemble, gridEdges, laplacian, positiveSystems, sineVector } from './systems.js';

type Symbolic = ReturnType<typeof analyse>;

function openTask(matrix: SymmetricMatrix, { layout, entryTargets, size }: Symbolic, floor = 0): FactorTask {
  const values = new Float64Array(layout.blockOffsets[layout.count]!);
  entryTargets.forEach((target, k) => {
    values[target] = matrix.values[k]!;
  });
  const floors = new Float64Array(size).fill(floor);
  return { layout, values, pivots: new Float64Array(size), floors };
}

/** L of every block up to its diagonal; what lies above is never read. */
function lowerEntries({ layout, values }: FactorTask): number[] {
  const entries: number[] = [];
  for (let s = 0; s + 1 < layout.firstColumns.length; s++) {
    const width = layout.firstColumns[s + 1]! - layout.firstColumns[s]!;
    const rows = width + layout.rowOffsets[s + 1]! - layout.rowOffsets[s]!;
    for (let i = 0; i < rows; i++)
      for (let j = 0; j < Math.min(width, i + 1); j++)
        entries.push(values[layout.blockOffsets[s]! + i * width + j]!);
  }
  return entries;
}

function factorBoth(matrix: SymmetricMatrix, floor = 0) {
  const symbolic = analyse(matrix);
  const [plain, compiled] = [openTask(matrix, symbolic, floor), openTask(matrix, symbolic, floor)];
  const failed = [
    factorBlocks(new PlainEliminator(plain), symbolic.layout),
    factorBlocks(openCompiledEliminator(compiled)!, symbolic.layout),
  ];
  return { plain, compiled, failed };
}

const clique = (first: number, size: number) =>
  Array.from({ length: size }, (_, i) => i).flatMap((i) =>
    Array.from({ length: i }, (_, j) => [first + i, first + j, 1 + ((i * 7 + j * 3) % 11)] as const),
  );

/** Every unknown coupled with every other: one block, of several panels. */
const full = (size: number) => assemble(laplacian(size, clique(0, size), [1]));

describe('compiled and plain elimination', () => {
  it('give the same bits, whatever the sizes of blocks and panels', () => {
    const matrices = [
      ...[1, 2, 3, 5, 47, 48, 49, 50, 51, 97, 150].map(full),
      assemble(laplacian(1600, gridEdges(40), [1])),
      // Blocks wider than a panel, by an odd number of columns, with rows below.
      assemble(laplacian(107, [...clique(0, 56), ...clique(51, 56)], [1])),
    ];
    for (const matrix of matrices) {
      const { plain, compiled, failed } = factorBoth(matrix);
      expect(failed).toEqual([-1, -1]);
      expect(compiled.pivots).toEqual(plain.pivots);
      expect(lowerEntries(compiled)).toEqual(lowerEntries(plain));
    }
  });

  it('give the same bits on random systems', () => {
    fc.assert(
      fc.property(positiveSystems(60), (system) => {
        const { plain, compiled } = factorBoth(assemble(system));
        expect(compiled.pivots).toEqual(plain.pivots);
        expect(lowerEntries(compiled)).toEqual(lowerEntries(plain));
      }),
      { numRuns: 100 },
    );
  });

  it('stop at the same pivot', () => {
    const matrix = full(60);
    const { pivots } = factorBoth(matrix).plain;
    const sorted = [...pivots].sort((a, b) => a - b);
    const { failed } = factorBoth(matrix, sorted[2]!);
    expect(failed[0]).toBeGreaterThanOrEqual(0);
    expect(failed[1]).toBe(failed[0]);
  });

  it('leaves it to the plain one where WebAssembly is refused, or has too little memory', () => {
    const matrix = full(5);
    const task = openTask(matrix, analyse(matrix));
    class Refusing {
      constructor() {
        throw new Error('refused by a policy');
      }
    }
    class SmallMemory {
      readonly buffer = new ArrayBuffer(0);
      grow(): number {
        throw new RangeError('no more memory');
      }
    }
    class Empty {
      readonly exports = {};
    }
    const refusing = { Module: Refusing, Instance: Refusing, Memory: Refusing } as unknown as Assembly;
    const small = { Module: Empty, Instance: Empty, Memory: SmallMemory } as unknown as Assembly;
    for (const assembly of [refusing, refusing, small])
      expect(openCompiledEliminator(task, assembly)).toBeUndefined();
  });

  it('compiles once, grows the memory as far as a task needs, and gives back what is far more', () => {
    const PAGE = 2 ** 16;
    const memories: CountedMemory[] = [];
    class CountedMemory {
      buffer: ArrayBuffer;
      constructor({ initial }: { readonly initial: number }) {
        this.buffer = new ArrayBuffer(initial * PAGE);
        memories.push(this);
      }
      grow(pages: number): number {
        this.buffer = new ArrayBuffer(this.buffer.byteLength + pages * PAGE);
        return 0;
      }
    }
    class Compiled {
      readonly exports = { eliminate: () => -1 };
    }
    const counted = { Module: Compiled, Instance: Compiled, Memory: CountedMemory } as unknown as Assembly;
    const task = openTask(full(5), analyse(full(5)));
    const withStack = (stackSize: number) => ({ ...task, layout: { ...task.layout, stackSize } });
    const sizeAfter = (stackSize: number) => {
      expect(openCompiledEliminator(withStack(stackSize), counted)!.stack).toHaveLength(stackSize);
      return memories.at(-1)!.buffer.byteLength;
    };
    const least = sizeAfter(100);
    const grown = sizeAfter(2 ** 21);
    expect(grown).toBeGreaterThan(2 ** 24);
    expect(grown).toBeLessThanOrEqual(2 ** 24 + 2 * PAGE);
    expect(sizeAfter(100)).toBe(grown);
    expect(memories).toHaveLength(1);
    // Beyond what is kept for good, half of the memory must be of use.
    const large = sizeAfter(2 ** 24);
    expect(sizeAfter(2 ** 23 + PAGE)).toBe(large);
    expect(memories).toHaveLength(1);
    expect(sizeAfter(100)).toBe(least);
    expect(memories).toHaveLength(2);
    // No memory of 32-bit addresses is so large; nothing is asked for.
    expect(openCompiledEliminator(withStack(2 ** 29), counted)).toBeUndefined();
    expect(memories).toHaveLength(2);
  });

  it('does not mind what was factored before', () => {
    const solve = (matrix: SymmetricMatrix) => {
      const b = sineVector(matrix.size);
      return new LdlSolver(analyse(matrix)).factor(matrix.values).solve(b);
    };
    const small = full(20);
    const before = solve(small);
    solve(assemble(laplacian(3600, gridEdges(60), [1])));
    expect(solve(small)).toEqual(before);
  });
});
