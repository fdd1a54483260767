import type { ErrorCode } from '../errors.js';

/** What the process says to its caller when it ends. */
export const EXIT = Object.freeze({
  done: 0,
  /** A fault of the program itself. */
  internal: 1,
  usage: 2,
  input: 3,
  limits: 4,
  interrupted: 130,
});

const EXIT_BY_CODE: Readonly<Record<ErrorCode, number>> = {
  MESH_EMPTY: EXIT.input,
  MESH_ARRAY_LENGTH: EXIT.input,
  MESH_INDEX_RANGE: EXIT.input,
  MESH_POINT_NOT_FINITE: EXIT.input,
  MESH_FACE_TOO_SMALL: EXIT.input,
  MESH_REPEATED_CORNER: EXIT.input,
  MESH_NO_AREA: EXIT.input,
  OPTION_INVALID: EXIT.usage,
  HINT_INVALID: EXIT.usage,
  PIN_CONFLICT: EXIT.usage,
  CHART_NOT_DISK: EXIT.limits,
  CHART_TOO_CLOSED: EXIT.limits,
  MATRIX_SINGULAR: EXIT.limits,
  MATRIX_NOT_POSITIVE: EXIT.limits,
  MATRIX_TOO_LARGE: EXIT.limits,
  LAYOUT_IMPOSSIBLE: EXIT.limits,
  UV_INVALID: EXIT.input,
  FORMAT_UNKNOWN: EXIT.input,
  FORMAT_INVALID: EXIT.input,
  FORMAT_TOO_LARGE: EXIT.input,
  FILE_UNREADABLE: EXIT.input,
  FILE_UNWRITABLE: EXIT.usage,
  NO_VALID_SET: EXIT.limits,
  CANCELLED: EXIT.interrupted,
};

/** Exit code for an error; by its `code`, as the classes of another build of the library differ. */
export function exitCodeOf(error: unknown): number {
  const code = (error as { code?: unknown } | undefined)?.code;
  return typeof code === 'string' && Object.hasOwn(EXIT_BY_CODE, code)
    ? EXIT_BY_CODE[code as ErrorCode]
    : EXIT.internal;
}
