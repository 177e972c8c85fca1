import { EngineError } from '../errors.ts';
import type { BillQuantity } from '../takeoff/bill-of-quantities.ts';
import type { Quantity } from '../takeoff/quantity.ts';
import { calendarDay } from '../units/calendar.ts';
import { lineAmount, type Money, sumMoney } from './money.ts';

/** A price per unit that holds from a date on, until the next one or its last day. */
export interface DatedRate {
  readonly materialCode: string;
  readonly unitCode: string;
  /** At most 6 decimals. */
  readonly unitRate: string;
  readonly currency: string;
  readonly validFrom: string;
  readonly validUntil?: string | null | undefined;
}

export interface EstimateLine {
  readonly lineCode: string;
  readonly stageCode: string;
  readonly part: string;
  readonly materialCode: string;
  readonly unitCode: string;
  readonly quantity: Quantity;
  readonly unitRate: string;
  readonly amount: Money;
}

export interface UnpricedLine {
  readonly lineCode: string;
  readonly materialCode: string;
  readonly unitCode: string;
  readonly reason: 'no-rate' | 'no-rate-on-date' | 'other-unit' | 'other-currency';
}

export interface CostEstimate {
  readonly currency: string;
  readonly pricedOn: string;
  readonly lines: readonly EstimateLine[];
  readonly total: Money;
  readonly byPart: Readonly<Record<string, Money>>;
  readonly byStage: Readonly<Record<string, Money>>;
  readonly byMaterial: Readonly<Record<string, Money>>;
  /** Lines without a rate. While any is left, the total is not the cost of the tank. */
  readonly unpriced: readonly UnpricedLine[];
}

type BillLine = Pick<
  BillQuantity,
  'lineCode' | 'stageCode' | 'part' | 'materialCode' | 'withWasteQuantity'
> & { readonly unitCode: string };

function rateFor(
  line: BillLine,
  rates: readonly DatedRate[],
  onDate: string,
  currency: string,
): DatedRate | UnpricedLine['reason'] {
  const ofMaterial = rates.filter((rate) => rate.materialCode === line.materialCode);
  if (ofMaterial.length === 0) return 'no-rate';
  const ofUnit = ofMaterial.filter((rate) => rate.unitCode === line.unitCode);
  if (ofUnit.length === 0) return 'other-unit';
  const ofCurrency = ofUnit.filter((rate) => rate.currency === currency);
  if (ofCurrency.length === 0) return 'other-currency';
  let latest: DatedRate | null = null;
  for (const rate of ofCurrency) {
    if (rate.validFrom > onDate) continue;
    if (rate.validUntil != null && rate.validUntil < onDate) continue;
    if (latest !== null && latest.validFrom === rate.validFrom) {
      throw new EngineError(
        'inconsistent',
        `${rate.materialCode}.validFrom`,
        rate.validFrom,
        'has two rates from the same day',
      );
    }
    if (latest === null || rate.validFrom > latest.validFrom) latest = rate;
  }
  return latest ?? 'no-rate-on-date';
}

function totalsBy(
  lines: readonly EstimateLine[],
  key: 'part' | 'stageCode' | 'materialCode',
  currency: string,
): Record<string, Money> {
  const amounts = new Map<string, Money[]>();
  for (const line of lines) {
    amounts.set(line[key], [...(amounts.get(line[key]) ?? []), line.amount]);
  }
  return Object.fromEntries([...amounts].map(([name, list]) => [name, sumMoney(list, currency)]));
}

/**
 * Cost of a bill at the rates of a date. Each line is quantity with waste times unit rate, rounded
 * half-even once; every total is the exact sum of its lines.
 *
 * @param rates the latest that holds on the date is taken; two from one day are refused
 * @returns lines, totals by part, stage and material, and the lines that found no rate
 * @throws {EngineError} `out-of-range` or `inconsistent` naming the field
 * @source half-even
 */
export function estimateCost(
  bill: readonly BillLine[],
  rates: readonly DatedRate[],
  onDate: string,
  currency: string,
): CostEstimate {
  calendarDay(onDate, 'onDate');
  const lines: EstimateLine[] = [];
  const unpriced: UnpricedLine[] = [];
  for (const line of bill) {
    const { lineCode, stageCode, part, materialCode, unitCode } = line;
    const rate = rateFor(line, rates, onDate, currency);
    if (typeof rate === 'string') {
      unpriced.push({ lineCode, materialCode, unitCode, reason: rate });
      continue;
    }
    lines.push({
      lineCode,
      stageCode,
      part,
      materialCode,
      unitCode,
      quantity: line.withWasteQuantity,
      unitRate: rate.unitRate,
      amount: lineAmount(line.withWasteQuantity, rate.unitRate, currency),
    });
  }
  return {
    currency,
    pricedOn: onDate,
    lines,
    total: sumMoney(
      lines.map((line) => line.amount),
      currency,
    ),
    byPart: totalsBy(lines, 'part', currency),
    byStage: totalsBy(lines, 'stageCode', currency),
    byMaterial: totalsBy(lines, 'materialCode', currency),
    unpriced,
  };
}

export interface CostEntry {
  /** From the widest to the narrowest: programme, season, village, build. */
  readonly path: readonly string[];
  readonly amount: Money;
}

export interface CostRollUp {
  readonly path: readonly string[];
  readonly entryCount: number;
  readonly amount: Money;
}

/**
 * Sums of entries at every level of their paths, the total of all at the empty path. Every level
 * is the exact sum of the level below it.
 *
 * @returns sorted by path, parents before their children
 * @throws {EngineError} `inconsistent` when currencies differ
 * @source costing-own
 */
export function rollUpCosts(entries: readonly CostEntry[], currency: string): CostRollUp[] {
  const nodes = new Map<string, { path: readonly string[]; amounts: Money[] }>();
  for (const { path, amount } of entries) {
    for (let depth = 0; depth <= path.length; depth += 1) {
      const prefix = path.slice(0, depth);
      const key = JSON.stringify(prefix);
      const node = nodes.get(key) ?? { path: prefix, amounts: [] };
      node.amounts.push(amount);
      nodes.set(key, node);
    }
  }
  return [...nodes.values()]
    .sort((a, b) => comparePaths(a.path, b.path))
    .map(({ path, amounts }) => ({
      path,
      entryCount: amounts.length,
      amount: sumMoney(amounts, currency),
    }));
}

function comparePaths(a: readonly string[], b: readonly string[]): number {
  for (let index = 0; index < Math.min(a.length, b.length); index += 1) {
    const [first = '', second = ''] = [a[index], b[index]];
    if (first !== second) return first < second ? -1 : 1;
  }
  return a.length - b.length;
}
