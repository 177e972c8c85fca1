import Big from 'big.js';
import { lineAmount, type Money, money, sumMoney, timesMoney } from '../costing/money.ts';
import { EngineError } from '../errors.ts';
import type { BandSection } from '../structure/band-stress.ts';
import { materialTotals, scaleBill, takeoffTank } from '../takeoff/bill-of-quantities.ts';
import { type MeasureName, tankMeasures } from '../takeoff/measures.ts';
import type { RecipeWork, TakeoffRecipe } from '../takeoff/recipe.ts';
import type { TakeoffGeometry } from '../takeoff/takeoff-geometry.ts';

/** A steel band that can be bought, in whole lengths or coils. */
export interface PurchasableBand extends BandSection {
  readonly stockLengthM: number;
  /** Price of one length, at the decimals of the currency. */
  readonly pricePerLength: string;
}

/** What a unit of a material or a day of a trade costs. */
export interface MaterialPrice {
  readonly materialCode: string;
  readonly unitCode: string;
  /** At most 6 decimals. */
  readonly unitRate: string;
}

export interface CostBasis {
  readonly recipe: TakeoffRecipe;
  readonly prices: readonly MaterialPrice[];
  readonly currency: string;
  /** Equal tanks bought for at once; lengths of band are rounded up over all of them. */
  readonly tankCount: number;
}

export interface BandPurchase {
  readonly cutLengthM: number;
  readonly pieceCount: number;
  readonly lengthCount: number;
  readonly offcutM: number;
  readonly amount: Money;
}

export interface TankCost {
  readonly total: Money;
  /** The total over the number of tanks, rounded. */
  readonly perTank: Money;
  readonly bands: BandPurchase;
  readonly materials: readonly {
    readonly materialCode: string;
    readonly unitCode: string;
    readonly quantity: string;
    readonly unitRate: string;
    readonly amount: Money;
  }[];
  /** Materials and trades of the take-off without a price: they do not count. */
  readonly unpricedMaterialCodes: readonly string[];
}

const isSizedBand = (work: RecipeWork): boolean =>
  work.kind === 'material' && work.sizedByBand === true;

/**
 * The recipe without its steel bands, which are priced by the length.
 *
 * @source own-tank-proposal
 */
export function withoutBands(recipe: TakeoffRecipe): TakeoffRecipe {
  return { ...recipe, works: recipe.works.filter((work) => !isSizedBand(work)) };
}

/**
 * Lengths of band to buy for a number of tanks: each piece is cut whole, none is joined.
 *
 * @throws {EngineError} `out-of-range` when one piece is longer than the length on sale
 * @source own-tank-proposal; steel-density
 */
export function bandPurchase(
  geometry: TakeoffGeometry,
  band: PurchasableBand,
  basis: Omit<CostBasis, 'prices'>,
): BandPurchase {
  const { recipe, tankCount, currency } = basis;
  const measures = tankMeasures(geometry, recipe);
  const wallBandCount = measures.bandCount - recipe.bands.springingBandCount;
  const cutLengthM = measures.bandLengthM / wallBandCount;
  const perLength = Math.floor((band.stockLengthM + 1e-9) / cutLengthM);
  if (perLength < 1) {
    const limit = `must hold one band of ${cutLengthM} m`;
    throw new EngineError('out-of-range', 'stockLengthM', band.stockLengthM, limit);
  }
  const pieceCount = measures.bandCount * tankCount;
  const lengthCount = Math.ceil(pieceCount / perLength);
  return {
    cutLengthM,
    pieceCount,
    lengthCount,
    offcutM: lengthCount * band.stockLengthM - pieceCount * cutLengthM,
    amount: timesMoney(money(band.pricePerLength, currency), lengthCount),
  };
}

/**
 * Cost of a number of equal tanks: bands in whole lengths, all other priced materials and work of
 * the take-off at their unit rates, with waste, each amount rounded once.
 *
 * @returns the exact sum, and what found no price
 * @throws {EngineError} naming the field of the geometry, the recipe or the price that is wrong
 * @source own-tank-proposal; half-even
 */
export function tankCost(
  geometry: TakeoffGeometry,
  band: PurchasableBand,
  basis: CostBasis,
): TankCost {
  const { currency, tankCount } = basis;
  const bands = bandPurchase(geometry, band, basis);
  const bill = scaleBill(takeoffTank(geometry, withoutBands(basis.recipe)), tankCount);
  const rates = new Map(basis.prices.map((price) => [price.materialCode, price]));
  const unpricedMaterialCodes: string[] = [];
  const materials = materialTotals(bill).flatMap(({ materialCode, unitCode, ...total }) => {
    const price = rates.get(materialCode);
    if (price?.unitCode !== unitCode) {
      unpricedMaterialCodes.push(materialCode);
      return [];
    }
    const { unitRate } = price;
    const quantity = total.withWasteQuantity;
    const amount = lineAmount(quantity, unitRate, currency);
    return [{ materialCode, unitCode, quantity, unitRate, amount }];
  });
  const total = sumMoney([bands.amount, ...materials.map(({ amount }) => amount)], currency);
  return {
    total,
    perTank: shareOf(total, tankCount),
    bands,
    materials,
    unpricedMaterialCodes,
  };
}

function shareOf(total: Money, tankCount: number): Money {
  const decimals = total.amount.split('.')[1]?.length ?? 0;
  const share = new Big(total.amount).div(tankCount).round(decimals, Big.roundHalfEven);
  return { amount: share.toFixed(decimals), currency: total.currency };
}

/**
 * What one unit of each measure of a tank costs at one thickness of wall and roof, bands apart: the
 * take-off of a probe, priced, over its measures. A search then prices a tank by its measures
 * alone, to within the rounding of the take-off.
 *
 * @param probe any tank of that thickness
 * @throws {EngineError} as `takeoffTank`
 * @source own-tank-proposal
 */
export function costPerMeasure(
  probe: TakeoffGeometry,
  { recipe, prices }: Pick<CostBasis, 'recipe' | 'prices'>,
): ReadonlyMap<MeasureName, number> {
  const measures = tankMeasures(probe, recipe);
  const rates = new Map(prices.map((price) => [price.materialCode, price]));
  const { works } = withoutBands(recipe);
  const costs = new Map<MeasureName, number>();
  for (const measure of new Set(works.map((work) => work.measure))) {
    const amount = measures[measure];
    if (!(amount > 0)) continue;
    const part = { ...recipe, works: works.filter((work) => work.measure === measure) };
    let cost = 0;
    for (const line of takeoffTank(probe, part)) {
      const price = rates.get(line.materialCode);
      if (price?.unitCode !== line.unitCode) continue;
      cost += Number(line.withWasteQuantity) * Number(price.unitRate);
    }
    if (cost > 0) costs.set(measure, cost / amount);
  }
  return costs;
}
