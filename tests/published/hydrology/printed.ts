import { expect } from 'vitest';

/** Asserts that a number equals a printed one to the last digit the source printed. */
export function expectPrinted(actual: number | null, printed: string, what: string): void {
  const decimals = printed.includes('.') ? printed.length - printed.indexOf('.') - 1 : 0;
  const half = decimals === 0 ? 1e-6 : 0.5 * 10 ** -decimals;
  const difference = Math.abs((actual ?? Number.NaN) - Number(printed));
  expect(difference, `${what}: ${actual} against ${printed}`).toBeLessThanOrEqual(half * 1.000001);
}
