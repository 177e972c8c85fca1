/**
 * Independent method: the literal storage equations in whole numbers, without the engine and
 * without rounding. With A·C = 40 a tenth of a millimetre of rain is 4 litres, so every quantity is
 * a whole number of litres.
 */
export function exactBalance(
  rainTenthsOfMm: readonly bigint[],
  tank: { capacityL: bigint; demandLPerDay: bigint; isAfterSpillage: boolean },
) {
  const { capacityL: s, demandLPerDay: d, isAfterSpillage } = tank;
  let v = 0n;
  let totalYieldL = 0n;
  let totalOverflowL = 0n;
  let daysMetCount = 0n;
  let zeroYieldDayCount = 0n;
  for (const tenths of rainTenthsOfMm) {
    const q = tenths * 4n;
    const y = least(d, isAfterSpillage ? v : v + q);
    const next = least(v + q - y, isAfterSpillage ? s - y : s);
    totalOverflowL += v + q - y - next;
    totalYieldL += y;
    if (y === d) daysMetCount += 1n;
    if (y === 0n) zeroYieldDayCount += 1n;
    v = next;
  }
  return { totalYieldL, totalOverflowL, daysMetCount, zeroYieldDayCount, finalVolumeL: v };
}

function least(a: bigint, b: bigint): bigint {
  return a < b ? a : b;
}
