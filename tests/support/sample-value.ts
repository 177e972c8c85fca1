/** The parts of JSON Schema that the service's documents use. */
export interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly allOf?: readonly Schema[];
  readonly format?: string;
  readonly pattern?: string;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly minItems?: number;
  readonly items?: Schema;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
}

export interface Sampling {
  readonly components: Readonly<Record<string, Schema>>;
  /** What every id in the sample is. */
  readonly id: string;
  /** True for every property, false for the required ones alone. */
  readonly isFull: boolean;
}

const TEXTS = ['A-1', 'EUR', '1', '1.00', 'sample@example.org', 'made up text, long enough'];
const MAX_DEPTH = 12;

/** A value that the schema accepts, as far as the schema says what it accepts. */
export function sampleValue(schema: Schema, sampling: Sampling, depth = 0): unknown {
  if (schema.$ref) {
    const target = sampling.components[schema.$ref.split('/').at(-1) ?? ''];
    if (!target) throw new Error(`no component ${schema.$ref}`);
    return sampleValue(target, sampling, depth + 1);
  }
  if (schema.const !== undefined) return schema.const;
  if (schema.enum) return schema.enum[0];
  const choices = schema.anyOf ?? schema.oneOf ?? schema.allOf;
  if (choices) {
    const chosen = choices.find((choice) => choice.type !== 'null') ?? choices[0];
    return sampleValue(chosen ?? {}, sampling, depth + 1);
  }
  switch ([schema.type].flat()[0]) {
    case 'string':
      return sampleText(schema, sampling.id);
    case 'integer':
    case 'number':
      return sampleNumber(schema);
    case 'boolean':
      return true;
    case 'null':
      return null;
    case 'array':
      return sampleArray(schema, sampling, depth);
    default:
      return sampleObject(schema, sampling, depth);
  }
}

function sampleText({ format, pattern, minLength = 0, maxLength }: Schema, id: string): string {
  if (format === 'uuid') return id;
  if (format === 'date') return '2026-12-01';
  if (format === 'date-time') return '2999-12-01T00:00:00Z';
  const fits = (text: string) => !pattern || new RegExp(pattern, 'u').test(text);
  const text = TEXTS.find(
    (each) => fits(each) && each.length >= minLength && each.length <= (maxLength ?? 1e9),
  );
  return text ?? 'x'.repeat(Math.max(minLength, 1));
}

function sampleNumber({ minimum, exclusiveMinimum, maximum }: Schema): number {
  const least = minimum ?? (exclusiveMinimum === undefined ? 1 : exclusiveMinimum + 1);
  return Math.min(Math.max(least, 1), maximum ?? Number.MAX_SAFE_INTEGER);
}

function sampleArray(schema: Schema, sampling: Sampling, depth: number): unknown[] {
  const count = Math.max(schema.minItems ?? 0, sampling.isFull && depth < MAX_DEPTH ? 1 : 0);
  return Array.from({ length: count }, () => sampleValue(schema.items ?? {}, sampling, depth + 1));
}

function sampleObject(schema: Schema, sampling: Sampling, depth: number): object {
  const isWanted = (name: string) =>
    schema.required?.includes(name) || (sampling.isFull && depth < MAX_DEPTH);
  return Object.fromEntries(
    Object.entries(schema.properties ?? {})
      .filter(([name]) => isWanted(name))
      .map(([name, inner]) => [name, sampleValue(inner, sampling, depth + 1)]),
  );
}
