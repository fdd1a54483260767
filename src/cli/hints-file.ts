import { FormatError, InvalidOptionError } from '../errors.js';
import type { JsonSchema, MeshDocument } from '../io/index.js';
import { checkSchema } from '../io/index.js';
import type { ProposeOptions, SeamHints } from '../proposing/index.js';
import { COST_WEIGHTS } from '../seams/index.js';
import type { OptionValues } from './command.js';
import schema from './hints.schema.json';
import { readJsonFile } from './option-file.js';
import { readChoice, readNumber, readText } from './parse-arguments.js';

const GROUP_KINDS = ['group', 'object', 'material', 'subset'] as const;

/**
 * The artist's word from a hints file and from the options that speak of the model itself.
 *
 * @throws FILE_UNREADABLE, FORMAT_INVALID, HINT_INVALID, OPTION_INVALID
 */
export function readHints(options: OptionValues, document?: MeshDocument): SeamHints | undefined {
  const path = readText(options, 'hints');
  const given: SeamHints = path === undefined ? {} : readHintsFile(path);
  const kind = readChoice(options, 'keep-groups', GROUP_KINDS);
  const angle = readNumber(options, 'hard-edges', 0, 180);
  const hasUvs = options['keep-uvs'] === true;
  if (path === undefined && kind === undefined && angle === undefined && !hasUvs) return undefined;
  return {
    ...given,
    ...(angle !== undefined && { hardEdgeAngle: angle }),
    ...(document &&
      kind !== undefined && { faceGroups: [...(given.faceGroups ?? []), ...groupsOf(document, kind)] }),
    ...(document && hasUvs && { existingUvs: uvsOf(document) }),
  };
}

function groupsOf(document: MeshDocument, kind: (typeof GROUP_KINDS)[number]): number[][] {
  const groups = document.faceGroups.filter((group) => group.kind === kind);
  if (groups.length > 0) return groups.map(({ faces }) => Array.from(faces));
  throw new InvalidOptionError(
    'HINT_INVALID',
    `--keep-groups: the file has no ${kind}, got '${kind}', expected ${listKinds(document)}`,
  );
}

function listKinds(document: MeshDocument): string {
  const kinds = [...new Set(document.faceGroups.map((group) => group.kind))];
  return kinds.length === 0 ? 'a file with groups' : kinds.join(' or ');
}

function uvsOf(document: MeshDocument): Float64Array {
  if (document.cornerUvs) return document.cornerUvs;
  throw new InvalidOptionError('HINT_INVALID', '--keep-uvs: the file has no UVs, expected a file with UVs');
}

function readHintsFile(path: string): SeamHints {
  const value = readJsonFile(path, '--hints');
  checkSchema(value, schema as JsonSchema, '--hints');
  const {
    $schema: _schema,
    version: _version,
    ...hints
  } = value as SeamHints & { $schema?: string; version?: 1 };
  const lists = { keep: hints.keep, avoid: hints.avoid, 'settled.edges': hints.settled?.edges };
  for (const [name, pairs] of Object.entries(lists)) {
    const wrong = pairs?.findIndex((pair) => pair.length !== 2) ?? -1;
    if (wrong < 0) continue;
    const got = `${pairs![wrong]!.length} points`;
    throw new FormatError(
      'FORMAT_INVALID',
      `--hints: ${name}[${wrong}] is not valid, got ${got}, expected two`,
    );
  }
  return hints;
}

/** A house style: some of the cost weights by name. @throws FILE_UNREADABLE, FORMAT_INVALID */
export function readProfile(options: OptionValues): ProposeOptions['profile'] {
  const path = readText(options, 'profile');
  if (path === undefined) return undefined;
  const value = readJsonFile(path, '--profile');
  const weight: JsonSchema = { type: 'number', minimum: 0 };
  const properties = Object.fromEntries(Object.keys(COST_WEIGHTS).map((name) => [name, weight]));
  checkSchema(value, { type: 'object', additionalProperties: false, properties }, '--profile');
  return value as ProposeOptions['profile'];
}
