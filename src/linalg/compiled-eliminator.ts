import type { BlockEliminator, FactorTask } from './block-eliminator.js';
import { PANEL_WIDTH } from './block-eliminator.js';
import { KERNEL_BYTES } from './kernel/kernel-bytes.js';

/** As kernel/eliminate.as exports it; addresses are in bytes. */
type Eliminate = (
  block: number,
  width: number,
  rowCount: number,
  pivots: number,
  floors: number,
  panel: number,
  update: number,
) => number;

/** What is used of WebAssembly; the types that Node.js brings leave it out. */
export interface Assembly {
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (compiled: object, imports: object) => { readonly exports: Record<string, unknown> };
  readonly Memory: new (size: { readonly initial: number }) => Memory;
}

interface Memory {
  readonly buffer: ArrayBuffer;
  readonly grow: (pages: number) => number;
}

interface Kernel {
  readonly memory: Memory;
  readonly eliminate: Eliminate;
}

const PAGE = 2 ** 16;
/** Memory beyond this is given back once a factorisation needs less than half of it, in bytes. */
const KEPT_MEMORY = 2 ** 26;
/** No memory of 32-bit addresses is larger, in bytes. */
const MOST_MEMORY = 2 ** 32 - PAGE;

/** What was made of WebAssembly; nothing where it refused. */
const kernels = new WeakMap<Assembly, Kernel | undefined>();

/**
 * Eliminates blocks by compiled vector code, in memory that all factorisations share one after another; undefined
 * where that is not to be had: no WebAssembly or no vectors in it, a security policy against it, too little memory.
 */
export function openCompiledEliminator(
  task: FactorTask,
  assembly = (globalThis as { readonly WebAssembly?: Assembly }).WebAssembly,
): BlockEliminator | undefined {
  const plan = planMemory(task);
  if (!assembly || plan.end > MOST_MEMORY) return undefined;
  let kernel = kernels.get(assembly);
  const size = kernel?.memory.buffer.byteLength ?? 0;
  if (!kernels.has(assembly) || size > Math.max(KEPT_MEMORY, 2 * plan.end)) {
    kernel = compile(assembly);
    kernels.set(assembly, kernel);
  }
  if (!kernel) return undefined;
  try {
    const missing = plan.end - kernel.memory.buffer.byteLength;
    if (missing > 0) kernel.memory.grow(Math.ceil(missing / PAGE));
  } catch {
    return undefined;
  }
  return new CompiledEliminator(task, kernel, plan);
}

function compile({ Module, Instance, Memory }: Assembly): Kernel | undefined {
  try {
    const memory = new Memory({ initial: 16 });
    const code = Uint8Array.from(atob(KERNEL_BYTES), (c) => c.charCodeAt(0));
    const { exports } = new Instance(new Module(code), { env: { memory } });
    return { memory, eliminate: exports.eliminate as Eliminate };
  } catch {
    return undefined;
  }
}

/** Where everything lies in the memory, in bytes: the stack of updates first. */
interface MemoryPlan {
  readonly block: number;
  readonly panel: number;
  readonly pivots: number;
  readonly floors: number;
  readonly end: number;
}

function planMemory({ layout: { stackSize, most } }: FactorTask): MemoryPlan {
  const block = 8 * stackSize;
  const panel = block + 8 * most.values;
  // Columns of the panel are padded to fours.
  const pivots = panel + 8 * PANEL_WIDTH * (most.rows + 4);
  const floors = pivots + 8 * most.columns;
  return { block, panel, pivots, floors, end: floors + 8 * most.columns };
}

class CompiledEliminator implements BlockEliminator {
  readonly stack: Float64Array;
  readonly block: Float64Array;
  readonly #task: FactorTask;
  readonly #eliminate: Eliminate;
  readonly #plan: MemoryPlan;
  readonly #pivots: Float64Array;
  readonly #floors: Float64Array;

  constructor(task: FactorTask, { memory, eliminate }: Kernel, plan: MemoryPlan) {
    const view = (from: number, to: number) => new Float64Array(memory.buffer, from, (to - from) / 8);
    this.#task = task;
    this.#eliminate = eliminate;
    this.#plan = plan;
    this.stack = view(0, plan.block);
    this.block = view(plan.block, plan.panel);
    this.#pivots = view(plan.pivots, plan.floors);
    this.#floors = view(plan.floors, plan.end);
  }

  open(s: number): number {
    const { values, layout } = this.#task;
    this.block.set(values.subarray(layout.blockOffsets[s]!, layout.blockOffsets[s + 1]!));
    return 0;
  }

  eliminate(s: number, top: number): number {
    const { values, pivots, floors, layout } = this.#task;
    const { firstColumns, rowOffsets, blockOffsets } = layout;
    const [start, end] = [blockOffsets[s]!, blockOffsets[s + 1]!];
    const [first, last] = [firstColumns[s]!, firstColumns[s + 1]!];
    const rows = last - first + rowOffsets[s + 1]! - rowOffsets[s]!;
    this.#floors.set(floors.subarray(first, last));
    const plan = this.#plan;
    const failed = this.#eliminate(
      plan.block,
      last - first,
      rows,
      plan.pivots,
      plan.floors,
      plan.panel,
      8 * top,
    );
    pivots.set(this.#pivots.subarray(0, last - first), first);
    values.set(this.block.subarray(0, end - start), start);
    return failed;
  }
}
