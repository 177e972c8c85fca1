import type {
  LifeCycleCostBody,
  LifeCycleCostResult,
} from '../../../shared/contract/calculation-life-cycle-cost.ts';
import { currencyExponent } from '../../../shared/costing/currency.ts';
import { capitalRecoveryFactor, lifeCycleCost } from '../../../shared/costing/life-cycle.ts';
import { money } from '../../../shared/costing/money.ts';
import { LIFE_CYCLE_CAUTIONS } from './cautions.ts';

const UNIT_RATE_DECIMALS = 6;

/** Present value and annualised cost in money, and per litre and person where asked. */
export function lifeCycle(body: LifeCycleCostBody): LifeCycleCostResult {
  const { years, yearlyRateRatio, usableCapacityL, personsServed } = body;
  const { currency } = body.capitalCost;
  const found = lifeCycleCost({
    capitalCost: Number(body.capitalCost.amount),
    yearlyOperatingCost: Number(body.yearlyOperatingCost.amount),
    majorCosts: body.majorCosts.map(({ year, cost }) => ({ year, cost: Number(cost.amount) })),
    years,
    yearlyRateRatio,
  });
  const inMoney = (value: number) => money(value.toFixed(currencyExponent(currency)), currency);
  const rate = (value: number) => ({ amount: value.toFixed(UNIT_RATE_DECIMALS), currency });
  return {
    presentValue: inMoney(found.presentValue),
    annualised: inMoney(found.annualised),
    capitalRecoveryFactor: capitalRecoveryFactor(yearlyRateRatio, years),
    presentValuePerUsableL:
      usableCapacityL === undefined ? null : rate(found.presentValue / usableCapacityL),
    annualisedPerPerson:
      personsServed === undefined || personsServed === 0
        ? null
        : rate(found.annualised / personsServed),
    cautions: [...LIFE_CYCLE_CAUTIONS],
  };
}
