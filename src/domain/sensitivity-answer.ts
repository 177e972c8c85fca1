import type { CostSensitivity, FactorEffect } from '../../shared/costing/cost-sensitivity.ts';
import { currencyExponent } from '../../shared/costing/currency.ts';
import { money } from '../../shared/costing/money.ts';
import { EngineError } from '../../shared/errors.ts';

const RATE_DECIMALS = 6;
/** Greatest amount that decimal text of a double still tells apart to the unit. */
const MAX_PRINTED = 1e12;

function fixed(value: number, decimals: number): string {
  if (value > MAX_PRINTED) {
    const limit = `must not make a cost above ${MAX_PRINTED}`;
    throw new EngineError('out-of-range', 'lines', value, limit);
  }
  return value.toFixed(decimals);
}

/** A computed cost as money of the currency. */
export const costInMoney = (value: number, currency: string) =>
  money(fixed(value, currencyExponent(currency)), currency);

/** A computed cost per litre as decimal text. */
export const costPerLText = (value: number): string => fixed(value, RATE_DECIMALS);

function effectAnswer({ atLow, atHigh, swing, ...ratios }: FactorEffect) {
  return {
    atLow: costPerLText(atLow),
    atHigh: costPerLText(atHigh),
    swing: costPerLText(swing),
    ...ratios,
  };
}

/** What was found, in the digits of the wire. */
export function sensitivityAnswer({ base, factors }: CostSensitivity, currency: string) {
  return {
    currency,
    capitalCost: costInMoney(base.capitalCost, currency),
    costPerUsableL: costPerLText(base.costPerUsableL),
    factors: factors.map(({ kind, code, base: value, low, high, ...effects }) => ({
      kind,
      code,
      base: value,
      low,
      high,
      costPerUsableL: effectAnswer(effects.costPerUsableL),
      costPerDeliveredL: effects.costPerDeliveredL && effectAnswer(effects.costPerDeliveredL),
    })),
  };
}

export const ONE_AT_A_TIME_CAUTION = {
  id: 'one-at-a-time',
  text: 'Each factor is moved alone. Prices that follow one driver, such as fuel or an exchange rate, move together and can weigh more than any of them does here.',
} as const;
