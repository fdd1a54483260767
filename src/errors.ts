/** Every code an error of this library can carry; docs/errors.md lists each with its cause and fix. */
export type ErrorCode =
  | 'MESH_EMPTY'
  | 'MESH_ARRAY_LENGTH'
  | 'MESH_INDEX_RANGE'
  | 'MESH_POINT_NOT_FINITE'
  | 'MESH_FACE_TOO_SMALL'
  | 'MESH_REPEATED_CORNER'
  | 'MESH_NO_AREA'
  | 'OPTION_INVALID'
  | 'HINT_INVALID'
  | 'CHART_NOT_DISK'
  | 'CHART_TOO_CLOSED'
  | 'PIN_CONFLICT'
  | 'MATRIX_SINGULAR'
  | 'MATRIX_NOT_POSITIVE'
  | 'MATRIX_TOO_LARGE'
  | 'LAYOUT_IMPOSSIBLE'
  | 'UV_INVALID'
  | 'FORMAT_UNKNOWN'
  | 'FORMAT_INVALID'
  | 'FORMAT_TOO_LARGE'
  | 'FILE_UNREADABLE'
  | 'FILE_UNWRITABLE'
  | 'NO_VALID_SET'
  | 'CANCELLED';

/**
 * Base of all errors thrown on purpose. Check `code`, not the class: the ESM and the CJS build
 * have separate classes.
 */
export class SeamwrightError extends Error {
  readonly code: ErrorCode;
  /** Machine-readable particulars, such as the element's index. */
  readonly details: Readonly<Record<string, unknown>>;

  constructor(
    code: ErrorCode,
    message: string,
    details: Readonly<Record<string, unknown>> = {},
    options?: { cause?: unknown },
  ) {
    super(message, options);
    this.name = new.target.name;
    this.code = code;
    this.details = details;
  }
}

/** The mesh or the UVs given cannot be worked on. */
export class InvalidMeshError extends SeamwrightError {}
/** An option or hint is out of its range or contradicts another. */
export class InvalidOptionError extends SeamwrightError {}
/** A file or message cannot be read or written. */
export class FormatError extends SeamwrightError {}
/** The numbers defeat the method: a singular matrix, a chart that is not a disk. */
export class NumericalError extends SeamwrightError {}
/** The work was stopped, or no result exists within the limits given. */
export class LimitError extends SeamwrightError {}

/** Throws `CANCELLED` when the caller's signal has been aborted. */
export function throwIfAborted(signal: AbortSignal | undefined): void {
  if (signal?.aborted) {
    throw new LimitError('CANCELLED', 'the work was cancelled by its signal', {}, { cause: signal.reason });
  }
}
