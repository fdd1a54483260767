/** What one bridge holds and takes at most. */
export interface BridgeLimits {
  /** Largest message in bytes, without its frame. @defaultValue 268435456 (256 MiB) */
  readonly maxMessageBytes: number;
  /** Meshes open at once. @defaultValue 16 */
  readonly maxMeshes: number;
  /** Corners of all open meshes together, which bounds the memory they take. @defaultValue 16777216 */
  readonly maxCorners: number;
  /** Requests accepted and not yet answered. @defaultValue 256 */
  readonly maxPending: number;
  /** Proposals, carried seams, flats and sheets held for each mesh, each; the longest unused goes first. @defaultValue 24 */
  readonly maxResults: number;
  /** Heap of each worker in MiB; a request that needs more is refused, the others go on. @defaultValue 4096 */
  readonly maxHeapMebibytes: number;
}

export const BRIDGE_LIMITS: Readonly<BridgeLimits> = Object.freeze({
  maxMessageBytes: 2 ** 28,
  maxMeshes: 16,
  maxCorners: 2 ** 24,
  maxPending: 256,
  maxResults: 24,
  maxHeapMebibytes: 4096,
});
