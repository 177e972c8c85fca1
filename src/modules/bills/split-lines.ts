import { allocateDecimal, allocateMoney, timesMoney } from '../../../shared/costing/money.ts';
import { scaleQuantity } from '../../../shared/takeoff/quantity.ts';
import type { BillTotal, SharedLine } from './repository.ts';

/** Decimals of a quantity. */
const QUANTITY_DECIMALS = 6;

/**
 * What one grant carries of lines that builds have alike. Each line of a build is split over the
 * grants of the build by largest remainder, quantities and amount alike, so that the grants of a build
 * add up to its bill exactly, in every part, stage and material. Equal remainders go to the grants in
 * turn from line to line, so that no grant gathers the odd cents of all lines.
 */
export function linesOfGrant(lines: readonly SharedLine[], grantId: string): BillTotal[] {
  return lines.flatMap(({ position, shares, buildCount, ...line }) => {
    const turn = position % shares.length;
    const inTurn = [...shares.slice(turn), ...shares.slice(0, turn)];
    const mine = inTurn.findIndex(([id]) => id === grantId);
    if (mine < 0) return [];
    const weights = inTurn.map(([, shareRatio]) => shareRatio);
    const quantity = (total: string) =>
      allocateDecimal(total, weights, QUANTITY_DECIMALS)[mine] ?? '0';
    const { amount, currency } = line;
    const share = allocateMoney({ amount, currency }, weights)[mine];
    if (!share) return [];
    return [
      {
        ...line,
        netQuantity: scaleQuantity(quantity(line.netQuantity), buildCount),
        withWasteQuantity: scaleQuantity(quantity(line.withWasteQuantity), buildCount),
        amount: timesMoney(share, buildCount).amount,
      },
    ];
  });
}
