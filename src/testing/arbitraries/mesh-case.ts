import type { PlainMesh } from '../face-list.js';

/** A mesh with what is known of it by construction. */
export interface MeshCase {
  /** How it was made, with all numbers, for messages. */
  readonly name: string;
  readonly mesh: PlainMesh;
  readonly shells: number;
  readonly borderLoops: number;
  /** V − E + F over all shells. */
  readonly eulerCharacteristic: number;
  /** Handles over all shells. */
  readonly genus: number;
  readonly isManifold: boolean;
}
