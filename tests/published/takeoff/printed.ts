import { expect } from 'vitest';

/** Passes when a value rounds to the printed text: within half a unit of its last place. */
export function expectPrinted(actual: number, printed: string, what = ''): void {
  const decimals = printed.split('.')[1]?.length ?? 0;
  const half = 0.5 * 10 ** -decimals;
  const difference = Math.abs(actual - Number(printed));
  // one part in 10^9 of slack, for a printed tie
  expect(difference, `${what} ${actual} against the printed ${printed}`).toBeLessThanOrEqual(
    half * (1 + 1e-9) + 1e-12,
  );
}
