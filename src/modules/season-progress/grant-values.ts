import Big from 'big.js';
import { allocateMoney, type Money } from '../../../shared/costing/money.ts';
import { moneyOf } from '../../db/wire-values.ts';
import type { SharedRow, ValueRow } from './value-repository.ts';

const EACH = {
  bac: 'eachBac',
  pv: 'eachPv',
  ev: 'eachEv',
  inKindBac: 'eachInKindBac',
  inKindPv: 'eachInKindPv',
  inKindEv: 'eachInKindEv',
} as const;
const MEASURES = Object.keys(EACH) as (keyof typeof EACH)[];

/** What no grant pays for. */
export const UNGRANTED = '';

interface GrantSums extends Omit<ValueRow, 'buildCount'> {
  buildCount: number;
}

/**
 * Sums of builds over the grants that pay for them: each sum of each build by its shares, by largest
 * remainder, so that grants and what none of them pays for add up to the programme to the minor unit.
 * Builds that are alike are split once.
 */
export function valuesOfGrants(
  rows: readonly SharedRow[],
  currency: string,
): ReadonlyMap<string, ValueRow> {
  const totals = new Map<string, { buildCount: number; sums: Record<string, Big> }>();
  for (const { shares, buildCount, ...row } of rows) {
    if (buildCount === 0) continue;
    const payers = payersOf(shares);
    for (const { grantId } of payers) {
      const total = totals.get(grantId) ?? {
        buildCount: 0,
        sums: Object.fromEntries(MEASURES.map((measure) => [measure, new Big(0)])),
      };
      total.buildCount += buildCount;
      totals.set(grantId, total);
    }
    for (const measure of MEASURES) {
      const parts = split(moneyOf(row[EACH[measure]] ?? '0', currency), payers);
      for (const [index, { grantId }] of payers.entries()) {
        const total = totals.get(grantId);
        const part = new Big(parts[index]?.amount ?? '0').times(buildCount);
        if (total) total.sums[measure] = (total.sums[measure] ?? new Big(0)).plus(part);
      }
    }
  }
  return new Map(
    [...totals].map(([grantId, { buildCount, sums }]) => {
      const text = (measure: string) => (sums[measure] ?? new Big(0)).toFixed();
      const found: GrantSums = {
        buildCount,
        bac: text('bac'),
        pv: text('pv'),
        ev: text('ev'),
        inKindBac: text('inKindBac'),
        inKindPv: text('inKindPv'),
        inKindEv: text('inKindEv'),
      };
      return [grantId, found];
    }),
  );
}

interface Payer {
  readonly grantId: string;
  readonly shareRatio: string;
}

/** Grants with their shares; what they leave is paid by none. */
function payersOf(shares: string | null): Payer[] {
  if (shares === null) return [{ grantId: UNGRANTED, shareRatio: '1' }];
  const payers = shares.split(',').map((share): Payer => {
    const [grantId = '', shareRatio = '0'] = share.split(' ');
    return { grantId, shareRatio };
  });
  const rest = payers.reduce((left, { shareRatio }) => left.minus(shareRatio), new Big(1));
  return rest.gt(0) ? [...payers, { grantId: UNGRANTED, shareRatio: rest.toFixed() }] : payers;
}

const split = (amount: Money, payers: readonly Payer[]): Money[] =>
  payers.length === 1
    ? [amount]
    : allocateMoney(
        amount,
        payers.map(({ shareRatio }) => shareRatio),
      );
