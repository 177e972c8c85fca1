import type {
  CostSensitivityBody,
  CostSensitivityResult,
} from '../../../shared/contract/calculation-cost-sensitivity.ts';
import { costSensitivity } from '../../../shared/costing/cost-sensitivity.ts';
import {
  costInMoney,
  costPerLText,
  ONE_AT_A_TIME_CAUTION,
  sensitivityAnswer,
} from '../../domain/sensitivity-answer.ts';
import { LIFE_CYCLE_CAUTIONS } from './cautions.ts';

/** Which price or assumption moves the cost per litre most. */
export function sensitivityOfCost(body: CostSensitivityBody): CostSensitivityResult {
  const { currency, lifeCycle, rangeRatio, ranges } = body;
  const found = costSensitivity({
    buildUp: {
      lines: body.lines.map(({ unitPrice, ...line }) => ({
        ...line,
        unitPrice: Number(unitPrice.amount),
        ...(unitPrice.currency === currency ? {} : { exchangeCode: unitPrice.currency }),
      })),
      exchangeRates: body.exchangeRates.map(({ currency: code, rate }) => ({ code, rate })),
      contingencyRatio: body.contingencyRatio,
      capacityL: body.capacityL,
      usableRatio: body.usableRatio,
      lifeCycle: lifeCycle && {
        ...lifeCycle,
        yearlyMaintenance: Number(lifeCycle.yearlyMaintenance.amount),
        majorCosts: lifeCycle.majorCosts.map(({ year, cost }) => ({
          year,
          cost: Number(cost.amount),
        })),
      },
    },
    rangeRatio,
    ranges,
  });
  const over = found.base.lifeCycle;
  return {
    ...sensitivityAnswer(found, currency),
    lifeCycle: over && {
      presentValue: costInMoney(over.presentValue, currency),
      annualised: costInMoney(over.annualised, currency),
      costPerDeliveredL: costPerLText(over.costPerDeliveredL),
    },
    cautions: [ONE_AT_A_TIME_CAUTION, ...(over === null ? [] : LIFE_CYCLE_CAUTIONS)],
  };
}
