import { FormatError } from '../../errors.js';
import { quoteText } from '../scan-bytes.js';

/** The part of JSON Schema (draft 2020-12) that our schemas use. */
export interface JsonSchema {
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, JsonSchema>>;
  readonly type?: string;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly minimum?: number;
  readonly exclusiveMinimum?: number;
  readonly pattern?: string;
  readonly items?: JsonSchema;
  readonly required?: readonly string[];
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  readonly propertyNames?: JsonSchema;
  readonly additionalProperties?: boolean | JsonSchema;
}

/**
 * Throws FORMAT_INVALID at the first value that breaks the schema; the message and `details.path` name it,
 * as in `subsets[2].indices[7]`.
 *
 * @param caller - function named in the message
 */
export function checkSchema(value: unknown, schema: JsonSchema, caller: string): void {
  new SchemaChecker(schema, caller).check(value, schema, '');
}

class SchemaChecker {
  readonly #root: JsonSchema;
  readonly #caller: string;

  constructor(root: JsonSchema, caller: string) {
    this.#root = root;
    this.#caller = caller;
  }

  check(value: unknown, schema: JsonSchema, path: string): void {
    const rule = schema.$ref ? this.#root.$defs![schema.$ref.replace('#/$defs/', '')]! : schema;
    if ('const' in rule && value !== rule.const) this.#fail(path, value, JSON.stringify(rule.const));
    if (rule.enum && !rule.enum.includes(value)) this.#fail(path, value, `one of ${rule.enum.join(', ')}`);
    if (rule.type && !hasType(value, rule.type)) this.#fail(path, value, describeType(rule.type));
    if (rule.minimum !== undefined && !((value as number) >= rule.minimum)) {
      this.#fail(path, value, `at least ${rule.minimum}`);
    }
    if (rule.exclusiveMinimum !== undefined && !((value as number) > rule.exclusiveMinimum)) {
      this.#fail(path, value, `more than ${rule.exclusiveMinimum}`);
    }
    if (rule.pattern && !new RegExp(rule.pattern).test(value as string)) {
      this.#fail(path, value, `a name that matches ${rule.pattern}`);
    }
    if (rule.type === 'array' && rule.items) this.#checkItems(value as unknown[], rule.items, path);
    if (rule.type === 'object') this.#checkObject(value as Record<string, unknown>, rule, path);
  }

  #checkItems(values: readonly unknown[], items: JsonSchema, path: string): void {
    // Numbers are by far the most of a mesh file, so they are not sent through check().
    if (items.type === 'number' || items.type === 'integer') {
      const isInteger = items.type === 'integer';
      const least = items.minimum ?? -Infinity;
      for (let i = 0; i < values.length; i++) {
        const value = values[i];
        if (
          typeof value !== 'number' ||
          !Number.isFinite(value) ||
          value < least ||
          (isInteger && !Number.isSafeInteger(value))
        ) {
          this.check(value, items, `${path}[${i}]`);
        }
      }
      return;
    }
    for (let i = 0; i < values.length; i++) this.check(values[i], items, `${path}[${i}]`);
  }

  #checkObject(value: Record<string, unknown>, rule: JsonSchema, path: string): void {
    for (const name of rule.required ?? []) {
      if (!Object.hasOwn(value, name)) this.#fail(joinPath(path, name), undefined, 'a value');
    }
    for (const name of Object.keys(value)) {
      const inner = joinPath(path, name);
      if (rule.propertyNames) this.check(name, rule.propertyNames, inner);
      const known =
        rule.properties && Object.hasOwn(rule.properties, name) ? rule.properties[name] : undefined;
      const next = known ?? rule.additionalProperties;
      if (next === false) {
        this.#fail(inner, value[name], `no such field; ${Object.keys(rule.properties ?? {}).join(', ')}`);
      }
      if (typeof next === 'object') this.check(value[name], next, inner);
    }
  }

  #fail(path: string, value: unknown, expected: string): never {
    const where = path || 'the top level';
    throw new FormatError(
      'FORMAT_INVALID',
      `${this.#caller}: ${where} is not valid, got ${describeValue(value)}, expected ${expected}`,
      { path },
    );
  }
}

const joinPath = (path: string, name: string): string => {
  const printable = quoteText(name).slice(1, -1);
  return path ? `${path}.${printable}` : printable;
};

function hasType(value: unknown, type: string): boolean {
  if (type === 'array') return Array.isArray(value);
  if (type === 'object') return typeof value === 'object' && value !== null && !Array.isArray(value);
  if (type === 'number') return Number.isFinite(value);
  if (type === 'integer') return Number.isSafeInteger(value);
  return typeof value === type;
}

const describeType = (type: string): string =>
  type === 'array' || type === 'object' || type === 'integer'
    ? `an ${type}`
    : type === 'number'
      ? 'a finite number'
      : `a ${type}`;

function describeValue(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (Array.isArray(value)) return 'an array';
  if (typeof value === 'object' && value !== null) return 'an object';
  return typeof value === 'string' ? quoteText(value) : String(value);
}
