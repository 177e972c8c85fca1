import { EngineError } from '../errors.ts';

/** Throws unless the value is a whole number from `least` on (0 when not stated). */
export function requireCount(name: string, value: number, least = 0): void {
  if (!Number.isInteger(value) || value < least) {
    const limit = `must be a whole number from ${least}`;
    throw new EngineError('out-of-range', name, value, limit);
  }
}
