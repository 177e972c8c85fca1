/** Exact decimal arithmetic on whole millionths, apart from the engine's own. */
export function micro(text: string): bigint {
  const [whole = '0', fraction = ''] = text.split('.');
  return BigInt(whole + fraction.padEnd(6, '0'));
}

export const signedMicro = (text: string): bigint =>
  text.startsWith('-') ? -micro(text.slice(1)) : micro(text);

/** quantity · rate in whole units of 10^-decimals, half to even. */
export function roundedProduct(quantity: string, rate: string, decimals: number): bigint {
  const divisor = 10n ** BigInt(12 - decimals);
  const exact = micro(quantity) * micro(rate);
  const down = exact / divisor;
  const twice = (exact % divisor) * 2n;
  const isUp = twice > divisor || (twice === divisor && down % 2n === 1n);
  return isUp ? down + 1n : down;
}

export const sumOf = <Row>(rows: readonly Row[], of: (row: Row) => bigint): bigint =>
  rows.reduce((sum, row) => sum + of(row), 0n);
