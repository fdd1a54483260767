import type { MethodName } from './method-schemas.js';
import type { ArrayForm } from './number-arrays.js';
import type {
  StoredCarried,
  StoredFlat,
  StoredMesh,
  StoredProposal,
  StoredSet,
  StoredSheet,
} from './stored.js';

/** One request with all that it needs, ready for any worker. */
export interface Job {
  readonly method: MethodName;
  readonly params: Readonly<Record<string, unknown>>;
  readonly form: ArrayForm;
  readonly mesh?: StoredMesh | undefined;
  /** The mesh that things of `mesh` are carried over to. */
  readonly to?: StoredMesh | undefined;
  readonly proposal?: StoredProposal | undefined;
  readonly carried?: StoredCarried | undefined;
  readonly flat?: StoredFlat | undefined;
  readonly sheet?: StoredSheet | undefined;
  /** Id for the mesh, proposal, carried seams, flat or sheet that the job makes. */
  readonly newId?: string | undefined;
  /** Id for the sheet that comes along with carried seams. */
  readonly newSheetId?: string | undefined;
}

/** What is kept of a job for later requests; the kind tells where. */
export type Kept =
  | { readonly kind: 'mesh'; readonly value: StoredMesh }
  | { readonly kind: 'proposal'; readonly value: StoredProposal }
  | { readonly kind: 'carried'; readonly value: StoredCarried }
  | { readonly kind: 'flat'; readonly value: StoredFlat }
  | { readonly kind: 'sheet'; readonly value: StoredSheet };

export interface JobOutcome {
  /** JSON of the answer's `result`. */
  readonly body: Uint8Array;
  readonly kept: readonly Kept[];
}

/** What a job may reach of its surroundings. */
export interface JobContext {
  readonly signal: AbortSignal;
  readonly onProgress: (share: number, stage: string) => void;
  /** Files under the allowed folder; without one every path is refused. */
  readonly files?: JobFiles | undefined;
}

export interface JobFiles {
  readonly read: (path: string) => Promise<Uint8Array>;
  /** A reader for files that the one at `path` names. */
  readonly readBeside: (path: string) => (uri: string) => Promise<Uint8Array>;
  readonly write: (path: string, bytes: Uint8Array) => Promise<void>;
}

/** A job on its way. */
export interface RunningJob {
  readonly outcome: Promise<JobOutcome>;
  /** Stops it as soon as may be; the outcome then fails or is of no more use. */
  readonly cancel: () => void;
}

/** Runs jobs somewhere: in worker threads, or in this one. */
export interface JobRunner {
  readonly run: (job: Job, onProgress: JobContext['onProgress']) => RunningJob;
  /** Parses a large message off the loop, its lists of numbers as typed arrays. */
  readonly parse: (body: Uint8Array) => Promise<unknown>;
  /** Lets go of what is remembered of a mesh. */
  readonly forget: (meshId: string) => void;
}

export type { StoredSet };
