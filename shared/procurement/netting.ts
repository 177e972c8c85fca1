import { EngineError, requireFinite, requireNotNegative, requirePositive } from '../errors.ts';

/** How a net need becomes a planned receipt. */
export type NettingRule =
  | { readonly kind: 'lot-for-lot' }
  /** As many whole lots as are needed, mostly one. */
  | { readonly kind: 'fixed-lot'; readonly lotQuantity: number }
  | {
      readonly kind: 'pack-multiple';
      readonly packQuantity: number;
      readonly minimumQuantity?: number | undefined;
    }
  | { readonly kind: 'minimum-order'; readonly minimumQuantity: number };

/** Part of the stock on hand that must not serve after a period. */
export interface ExpiringLot {
  readonly quantity: number;
  /** From 1; 0 for a lot that is past its life already. */
  readonly lastPeriod: number;
}

export interface NettingInput {
  /** Stock on hand without what is issued to a village already, and without the lots below. */
  readonly onHand: number;
  readonly expiringLots?: readonly ExpiringLot[] | undefined;
  readonly safetyStock?: number | undefined;
  /** One value a period. */
  readonly grossRequirements: readonly number[];
  /** What is on order and expected, by period; none when left out. */
  readonly scheduledReceipts?: readonly number[] | undefined;
  /** What comes back from villages, by period, counted as a scheduled receipt. */
  readonly expectedReturns?: readonly number[] | undefined;
  readonly leadPeriods: number;
  readonly lotRule: NettingRule;
}

export interface LateRelease {
  readonly receiptPeriod: number;
  readonly quantity: number;
  /** Periods before period 1 at which the order had to be placed; 1 for the period before. */
  readonly periodsLate: number;
}

export interface NettedRequirements {
  readonly netRequirements: readonly number[];
  readonly plannedReceipts: readonly number[];
  /** On hand at the end of each period. */
  readonly projectedOnHand: readonly number[];
  /** Orders by the period in which they are placed. */
  readonly plannedReleases: readonly number[];
  /** Receipts that would have had to be ordered before period 1. */
  readonly lateReleases: readonly LateRelease[];
  /** What passed its life at the end of the period before and was taken off. */
  readonly expired: readonly number[];
}

/** Quantities closer than this to a whole lot are that lot: what binary fractions lose. Ours. */
const LOT_SLACK = 1e-9;

function lotted(rule: NettingRule, net: number): number {
  if (net <= 0) return 0;
  const whole = (lot: number, need: number) => Math.ceil(need / lot - LOT_SLACK) * lot;
  switch (rule.kind) {
    case 'lot-for-lot':
      return net;
    case 'fixed-lot':
      return whole(rule.lotQuantity, net);
    case 'pack-multiple':
      return whole(rule.packQuantity, Math.max(net, rule.minimumQuantity ?? 0));
    case 'minimum-order':
      return Math.max(net, rule.minimumQuantity);
  }
}

function requireRule(rule: NettingRule): void {
  if (rule.kind === 'fixed-lot') requirePositive({ 'lotRule.lotQuantity': rule.lotQuantity });
  if (rule.kind === 'pack-multiple') {
    requirePositive({ 'lotRule.packQuantity': rule.packQuantity });
    requireNotNegative({ 'lotRule.minimumQuantity': rule.minimumQuantity ?? 0 });
  }
  if (rule.kind === 'minimum-order') {
    requireNotNegative({ 'lotRule.minimumQuantity': rule.minimumQuantity });
  }
}

function listed(name: string, values: readonly number[] | undefined, length: number): number[] {
  const list = values ?? Array.from({ length }, () => 0);
  if (list.length !== length) {
    throw new EngineError('inconsistent', name, list.length, `must have ${length} values`);
  }
  for (const [index, value] of list.entries()) requireNotNegative({ [`${name}[${index}]`]: value });
  return [...list];
}

/**
 * Netting of one item: what must still come in each period, in lots, and when to order it.
 *
 *     net_t = max(0, safety + gross_t − on hand_{t−1} − scheduled_t)
 *     projected_t = on hand_{t−1} + scheduled_t + planned receipt_t − gross_t
 *     planned release_{t−lead} = planned receipt_t
 *
 * Stock that expires serves first, the earliest first, and is taken off after its last period; a
 * return counts as a scheduled receipt. A receipt whose release would lie before period 1 is still
 * planned, and listed as late.
 *
 * @throws {EngineError} `not-finite`, `out-of-range` for a negative quantity or a lead that is not
 *   whole, `inconsistent` for a list of another length
 * @source mrp-netting
 */
export function netRequirements(input: NettingInput): NettedRequirements {
  const { grossRequirements, leadPeriods, lotRule, onHand, safetyStock = 0 } = input;
  const periodCount = grossRequirements.length;
  if (periodCount === 0) {
    throw new EngineError('missing-data', 'grossRequirements', 0, 'must not be empty');
  }
  requireNotNegative({ onHand, safetyStock, leadPeriods });
  if (!Number.isSafeInteger(leadPeriods)) {
    throw new EngineError('out-of-range', 'leadPeriods', leadPeriods, 'must be a whole number');
  }
  requireRule(lotRule);
  const gross = listed('grossRequirements', grossRequirements, periodCount);
  const scheduled = listed('scheduledReceipts', input.scheduledReceipts, periodCount);
  const returns = listed('expectedReturns', input.expectedReturns, periodCount);
  const lots = (input.expiringLots ?? []).map(({ quantity, lastPeriod }, index) => {
    requireNotNegative({ [`expiringLots[${index}].quantity`]: quantity });
    requireFinite({ [`expiringLots[${index}].lastPeriod`]: lastPeriod });
    return { left: quantity, lastPeriod };
  });
  lots.sort((a, b) => a.lastPeriod - b.lastPeriod);

  let keeping = onHand;
  const net: number[] = [];
  const receipts: number[] = [];
  const projected: number[] = [];
  const expired: number[] = [];
  for (const [index, need] of gross.entries()) {
    const period = index + 1;
    let lost = 0;
    while (lots[0] !== undefined && lots[0].lastPeriod < period) lost += lots.shift()?.left ?? 0;
    expired.push(lost);
    keeping += (scheduled[index] ?? 0) + (returns[index] ?? 0);
    const available = keeping + lots.reduce((sum, { left }) => sum + left, 0);
    const short = Math.max(0, safetyStock + need - available);
    const receipt = lotted(lotRule, short);
    net.push(short);
    receipts.push(receipt);
    keeping += receipt;
    let open = need;
    for (const lot of lots) {
      const taken = Math.min(open, lot.left);
      lot.left -= taken;
      open -= taken;
    }
    keeping -= open;
    projected.push(keeping + lots.reduce((sum, { left }) => sum + left, 0));
  }
  const releases = gross.map((_, index) => receipts[index + leadPeriods] ?? 0);
  const lateReleases = receipts.flatMap((quantity, index): LateRelease[] =>
    quantity > 0 && index < leadPeriods
      ? [{ receiptPeriod: index + 1, quantity, periodsLate: leadPeriods - index }]
      : [],
  );
  return {
    netRequirements: net,
    plannedReceipts: receipts,
    projectedOnHand: projected,
    plannedReleases: releases,
    lateReleases,
    expired,
  };
}
