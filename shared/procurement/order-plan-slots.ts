import { EngineError } from '../errors.ts';
import { MICRO, microDown, microUp, perPeriod } from './order-plan-limits.ts';
import type { PlanOffer } from './order-plan-types.ts';

export interface PriceBracket {
  readonly fromMicro: number;
  readonly unitCost: number;
  /** Under the incremental rule, what `fromMicro` costs. */
  readonly costAtFrom: number;
}

/** An order that may be placed: one offer, one period. Quantities in millionths. */
export interface PlanSlot {
  readonly offerIndex: number;
  readonly placed: number;
  readonly arrives: number;
  readonly lastPeriod: number;
  readonly orderCost: number;
  readonly brackets: readonly PriceBracket[];
  readonly isIncremental: boolean;
  readonly packMicro: number | null;
  readonly minimumMicro: number;
  /** No larger order makes sense, or none is allowed. */
  readonly capMicro: number;
  /** What was ordered here in the plan that should not change; 0 for none. */
  readonly keptMicro: number;
  readonly tripIndex: number | null;
}

export interface SlotContext {
  readonly periodCount: number;
  readonly shelfLifePeriods: number | undefined;
  /** Net demand by period, for what could be needed of an order. */
  readonly netMicro: readonly number[];
  readonly keptMicro: (placed: number) => number;
  readonly tripIndex: number | null;
}

const ceilTo = (micro: number, pack: number | null): number =>
  pack === null ? micro : Math.ceil(micro / pack) * pack;
const floorTo = (micro: number, pack: number | null): number =>
  pack === null ? micro : Math.floor(micro / pack) * pack;

function bracketsOf(offer: PlanOffer): PriceBracket[] {
  let before: PriceBracket = { fromMicro: 0, unitCost: offer.unitCost, costAtFrom: 0 };
  const brackets = [before];
  for (const { fromQuantity, unitCost } of offer.priceBreaks ?? []) {
    const fromMicro = microUp(fromQuantity);
    const costAtFrom =
      before.costAtFrom + (before.unitCost * (fromMicro - before.fromMicro)) / MICRO;
    before = { fromMicro, unitCost, costAtFrom };
    brackets.push(before);
  }
  return brackets;
}

/**
 * Every order that an offer allows: placed within its validity, arriving within the plan when the
 * place can be reached, with something to serve.
 *
 * @param path name of the offer in messages
 * @throws {EngineError} `inconsistent` when no quantity lies between minimum and maximum
 * @source order-plan-own
 */
export function offerSlots(
  offer: PlanOffer,
  offerIndex: number,
  path: string,
  context: SlotContext,
): PlanSlot[] {
  const { periodCount, shelfLifePeriods, netMicro, keptMicro, tripIndex } = context;
  const packMicro = offer.packSize === undefined ? null : Math.round(offer.packSize * MICRO);
  const minimumMicro = ceilTo(microUp(offer.minimumQuantity ?? 0), packMicro);
  const mostMicro =
    offer.maximumQuantity === undefined
      ? Number.POSITIVE_INFINITY
      : floorTo(microDown(offer.maximumQuantity), packMicro);
  if (mostMicro < minimumMicro || mostMicro === 0) {
    throw new EngineError(
      'inconsistent',
      `${path}.maximumQuantity`,
      offer.maximumQuantity,
      packMicro === null
        ? 'must not be below minimumQuantity, and above 0'
        : 'must allow a whole number of packs from minimumQuantity',
    );
  }
  const isIncremental = offer.breakRule === 'incremental';
  const brackets = bracketsOf(offer);
  const blocked = new Set(offer.blockedArrivalPeriods ?? []);
  const latest = Math.min(periodCount, offer.latestArrivalPeriod ?? periodCount);
  const orderCosts = perPeriod(offer.orderCost, periodCount);
  const slots: PlanSlot[] = [];
  const first = offer.validFromPeriod ?? 1;
  const last = Math.min(periodCount, offer.validUntilPeriod ?? periodCount);
  for (let placed = first; placed <= last; placed += 1) {
    const arrives = placed + (offer.leadPeriods ?? 0);
    if (arrives > latest || blocked.has(arrives)) continue;
    const lastPeriod = Math.min(periodCount, arrives + (shelfLifePeriods ?? periodCount));
    let useful = 0;
    for (let t = arrives; t <= lastPeriod; t += 1) useful += netMicro[t - 1] ?? 0;
    const kept = keptMicro(placed);
    if (useful === 0 && kept === 0) continue;
    const enough = Math.min(mostMicro, ceilTo(Math.max(useful, minimumMicro, kept), packMicro));
    const worthwhile = worthwhileBrackets(brackets, isIncremental, enough);
    const breakFrom = isIncremental ? 0 : (worthwhile.at(-1)?.fromMicro ?? 0);
    const capMicro = Math.min(
      mostMicro,
      ceilTo(Math.max(useful, minimumMicro, breakFrom, kept), packMicro),
    );
    slots.push({
      offerIndex,
      placed,
      arrives,
      lastPeriod,
      orderCost: orderCosts[placed - 1] ?? 0,
      brackets: worthwhile.filter(({ fromMicro }) => fromMicro <= capMicro),
      isIncremental,
      packMicro,
      minimumMicro,
      capMicro,
      keptMicro: kept,
      tripIndex,
    });
  }
  return slots;
}

/**
 * Brackets that may be worth reaching: those that what can be needed reaches by itself, and those whose
 * first unit is reached for less money than that. The rest only weaken the bound of a linear model.
 */
function worthwhileBrackets(
  brackets: readonly PriceBracket[],
  isIncremental: boolean,
  enoughMicro: number,
): PriceBracket[] {
  const enoughCost = goodsCost({ brackets, isIncremental }, enoughMicro);
  return brackets.filter(
    ({ fromMicro, unitCost }) =>
      fromMicro <= enoughMicro || (!isIncremental && (unitCost * fromMicro) / MICRO < enoughCost),
  );
}

/**
 * What the goods of an order cost, without the cost of ordering: the price of the bracket reached
 * for all units, or for those above the break only.
 *
 * @source quantity-discounts
 */
export function goodsCost(
  slot: Pick<PlanSlot, 'brackets' | 'isIncremental'>,
  micro: number,
): number {
  const reached = slot.brackets.filter(({ fromMicro }) => fromMicro <= micro).at(-1);
  if (reached === undefined) return 0;
  return slot.isIncremental
    ? reached.costAtFrom + (reached.unitCost * (micro - reached.fromMicro)) / MICRO
    : (reached.unitCost * micro) / MICRO;
}

/**
 * The least quantity from a need on that an order may have: its minimum, its packs, its maximum.
 *
 * @returns null when the need is more than one order can hold
 * @source order-plan-own
 */
export function orderableMicro(slot: PlanSlot, needMicro: number): number | null {
  const micro = ceilTo(Math.max(needMicro, slot.minimumMicro), slot.packMicro);
  return micro > slot.capMicro ? null : micro;
}
