import type { BlockEliminator, FactorTask } from './block-eliminator.js';
import { PANEL_WIDTH } from './block-eliminator.js';
import { KERNEL_BYTES } from './kernel/kernel-bytes.js';

/** What kernel/eliminate.as exports; addresses are in bytes. */
interface Exports {
  readonly addChild: (
    source: number,
    positions: number,
    rowCount: number,
    block: number,
    width: number,
    update: number,
  ) => void;
  readonly eliminate: (
    block: number,
    width: number,
    rowCount: number,
    pivots: number,
    floors: number,
    panel: number,
    update: number,
  ) => number;
}

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
  readonly exports: Exports;
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
    const code = Uint8Array.from(KERNEL_BYTES.match(/../g)!, (byte) => Number.parseInt(byte, 16));
    const { exports } = new Instance(new Module(code), { env: { memory } });
    return { memory, exports: exports as unknown as Exports };
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
  readonly positions: number;
  readonly end: number;
}

function planMemory({ layout: { stackSize, most } }: FactorTask): MemoryPlan {
  const block = 8 * stackSize;
  const panel = block + 8 * most.values;
  // Columns of the panel are padded to fours.
  const pivots = panel + 8 * PANEL_WIDTH * (most.rows + 4);
  const floors = pivots + 8 * most.columns;
  const positions = floors + 8 * most.columns;
  return { block, panel, pivots, floors, positions, end: positions + 8 * Math.ceil(most.rows / 2) };
}

class CompiledEliminator implements BlockEliminator {
  readonly stack: Float64Array;
  readonly #task: FactorTask;
  readonly #kernel: Exports;
  readonly #plan: MemoryPlan;
  readonly #block: Float64Array;
  readonly #pivots: Float64Array;
  readonly #floors: Float64Array;
  readonly #positions: Int32Array;
  /** The open block, its columns, and where its update is, in bytes. */
  #open = 0;
  #width = 0;
  #top = 0;

  constructor(task: FactorTask, { memory, exports }: Kernel, plan: MemoryPlan) {
    const view = (from: number, to: number) => new Float64Array(memory.buffer, from, (to - from) / 8);
    this.#task = task;
    this.#kernel = exports;
    this.#plan = plan;
    this.stack = view(0, plan.block);
    this.#block = view(plan.block, plan.panel);
    this.#pivots = view(plan.pivots, plan.floors);
    this.#floors = view(plan.floors, plan.positions);
    this.#positions = new Int32Array(memory.buffer, plan.positions, (plan.end - plan.positions) / 4);
  }

  open(s: number, top: number): void {
    const { values, layout } = this.#task;
    this.#open = s;
    this.#width = layout.firstColumns[s + 1]! - layout.firstColumns[s]!;
    this.#top = 8 * top;
    this.#block.set(values.subarray(layout.blockOffsets[s]!, layout.blockOffsets[s + 1]!));
  }

  addChild(child: number, from: number): void {
    const { rowOffsets, parentPositions } = this.#task.layout;
    const [first, end] = [rowOffsets[child]!, rowOffsets[child + 1]!];
    const { positions, block } = this.#plan;
    this.#positions.set(parentPositions.subarray(first, end));
    this.#kernel.addChild(8 * from, positions, end - first, block, this.#width, this.#top);
  }

  eliminate(): number {
    const { values, pivots, floors, layout } = this.#task;
    const { firstColumns, rowOffsets, blockOffsets } = layout;
    const s = this.#open;
    const [start, end] = [blockOffsets[s]!, blockOffsets[s + 1]!];
    const first = firstColumns[s]!;
    const width = this.#width;
    const rows = width + rowOffsets[s + 1]! - rowOffsets[s]!;
    this.#floors.set(floors.subarray(first, first + width));
    const plan = this.#plan;
    const failed = this.#kernel.eliminate(
      plan.block,
      width,
      rows,
      plan.pivots,
      plan.floors,
      plan.panel,
      this.#top,
    );
    pivots.set(this.#pivots.subarray(0, width), first);
    values.set(this.#block.subarray(0, end - start), start);
    return failed;
  }
}
