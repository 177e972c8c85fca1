import fc from 'fast-check';
import { expect } from 'vitest';
import type { z } from 'zod';
import { EngineError } from '../../shared/errors.ts';
import { DomainError, PROBLEMS } from '../../src/domain/errors.ts';

/** More with HOOPWRIGHT_PROPERTY_RUNS. */
export const PROPERTY_RUNS = Number(process.env.HOOPWRIGHT_PROPERTY_RUNS ?? 2_000);

interface Calculation<Body> {
  readonly input: z.ZodType<Body>;
  readonly output: z.ZodType;
  run(body: Body): unknown;
}

const ODD_VALUES: readonly unknown[] = [
  0,
  -1,
  -0,
  1e-300,
  5e-324,
  1e300,
  Number.POSITIVE_INFINITY,
  Number.NaN,
  null,
  '',
  'x'.repeat(1_000),
  '1e5',
  [],
  {},
  true,
];

/** A body with one of its values, however deep, put out of order now and then. */
export function oddly<T>(sensible: fc.Arbitrary<T>): fc.Arbitrary<unknown> {
  const broken = fc
    .tuple(
      sensible,
      fc.array(fc.nat(50), { minLength: 1, maxLength: 5 }),
      fc.constantFrom(...ODD_VALUES),
    )
    .map(([body, way, odd]) => withOdd(body, way, odd));
  return fc.oneof({ weight: 3, arbitrary: sensible }, { weight: 1, arbitrary: broken });
}

function withOdd(value: unknown, [first = 0, ...rest]: readonly number[], odd: unknown): unknown {
  if (typeof value !== 'object' || value === null) return odd;
  const keys = Object.keys(value);
  const key = keys[first % Math.max(1, keys.length)];
  if (key === undefined) return odd;
  const copy = Array.isArray(value) ? [...value] : { ...value };
  const slots = copy as Record<string, unknown>;
  slots[key] = rest.length === 0 ? odd : withOdd(slots[key], rest, odd);
  return copy;
}

function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} = ${value}`];
  if (typeof value === 'string')
    return /NaN|Infinity|undefined/.test(value) ? [`${path} = ${value}`] : [];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => notFinite(inner, `${path}.${key}`));
}

/**
 * Puts a body to a calculation as its route does. A refusal must be one that the caller can act on
 * (never a fault of ours) and name what it refuses; an answer must fit its promised shape and hold
 * finite numbers only.
 *
 * @returns the answer, or null when the body was refused
 */
export async function answered<Body>(
  { input, output, run }: Calculation<Body>,
  body: unknown,
): Promise<unknown> {
  const parsed = input.safeParse(body);
  if (!parsed.success) {
    expect(parsed.error.issues.length).toBeGreaterThan(0);
    return null;
  }
  let answer: unknown;
  try {
    answer = await run(parsed.data);
  } catch (error) {
    if (error instanceof EngineError) {
      expect(error.parameter).not.toMatch(/^solver|undefined|NaN/);
      expect(error.limit.length).toBeGreaterThan(3);
    } else if (error instanceof DomainError) {
      expect(PROBLEMS[error.code][0]).toBe(422);
    } else throw error;
    return null;
  }
  const encoded = output.safeEncode(answer as never);
  if (!encoded.success) throw encoded.error;
  expect(notFinite(encoded.data)).toEqual([]);
  return encoded.data;
}
