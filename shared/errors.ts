export type EngineErrorCode =
  | 'not-finite'
  | 'out-of-range'
  | 'inconsistent'
  | 'missing-data'
  | 'cyclic-network';

/**
 * A broken contract of an engine function: the input is outside the range in which the method holds.
 * A design that fails a check is a result, never an EngineError.
 */
export class EngineError extends Error {
  readonly code: EngineErrorCode;
  readonly parameter: string;
  readonly value: unknown;
  readonly limit: string;

  constructor(code: EngineErrorCode, parameter: string, value: unknown, limit: string) {
    super(`${parameter} = ${String(value)}: ${limit}`);
    this.name = 'EngineError';
    this.code = code;
    this.parameter = parameter;
    this.value = value;
    this.limit = limit;
  }
}

/** Throws unless every named value is a finite number. */
export function requireFinite(values: Readonly<Record<string, number>>): void {
  // for..in makes no list of entries: these guards stand inside the searches.
  for (const name in values) {
    const value = values[name] as number;
    if (!Number.isFinite(value)) {
      throw new EngineError('not-finite', name, value, 'must be a finite number');
    }
  }
}

/** Throws unless every named value is finite and above zero. */
export function requirePositive(values: Readonly<Record<string, number>>): void {
  requireFinite(values);
  for (const name in values) {
    const value = values[name] as number;
    if (value <= 0) throw new EngineError('out-of-range', name, value, 'must be above 0');
  }
}

/** Throws unless every named value is finite and not negative. */
export function requireNotNegative(values: Readonly<Record<string, number>>): void {
  requireFinite(values);
  for (const name in values) {
    const value = values[name] as number;
    if (value < 0) throw new EngineError('out-of-range', name, value, 'must not be negative');
  }
}

/** Throws unless the value lies in [low, high]. */
export function requireWithin(name: string, value: number, low: number, high: number): void {
  requireFinite({ [name]: value });
  if (value < low || value > high) {
    throw new EngineError('out-of-range', name, value, `must lie between ${low} and ${high}`);
  }
}
