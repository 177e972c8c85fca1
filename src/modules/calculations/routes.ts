import type { FastifyInstance } from 'fastify';
import {
  costSensitivityInput,
  costSensitivityResult,
} from '../../../shared/contract/calculation-cost-sensitivity.ts';
import {
  cuttingPlanInput,
  cuttingPlanResult,
} from '../../../shared/contract/calculation-cutting-plan.ts';
import {
  disinfectionDoseInput,
  disinfectionDoseResult,
} from '../../../shared/contract/calculation-disinfection-dose.ts';
import {
  lifeCycleCostInput,
  lifeCycleCostResult,
} from '../../../shared/contract/calculation-life-cycle-cost.ts';
import {
  orderPlanInput,
  orderPlanResult,
} from '../../../shared/contract/calculation-order-plan.ts';
import {
  seasonPlanInput,
  seasonPlanResult,
} from '../../../shared/contract/calculation-season-plan.ts';
import {
  standardSizesInput,
  standardSizesResult,
} from '../../../shared/contract/calculation-standard-sizes.ts';
import {
  storageReliabilityInput,
  storageReliabilityResult,
} from '../../../shared/contract/calculation-storage-reliability.ts';
import {
  tankCheckInput,
  tankCheckResult,
} from '../../../shared/contract/calculation-tank-check.ts';
import {
  tankProposalInput,
  tankProposalResult,
} from '../../../shared/contract/calculation-tank-proposal.ts';
import {
  watertightnessInput,
  watertightnessResult,
} from '../../../shared/contract/calculation-watertightness.ts';
import { calculationRoute } from '../../http/calculation-route.ts';
import type { Calculations } from './use-cases.ts';

/** Two hundred years of rain with all their decimals, or twenty thousand sites. */
const LARGE_BODY_BYTES = 4 * 1024 * 1024;

/** Calculations that keep nothing: POST, for anybody signed in. */
export function calculationRoutes(app: FastifyInstance, calculations: Calculations): void {
  calculationRoute(app, {
    name: 'storage-reliability',
    operationId: 'calculateStorageReliability',
    summary: 'From daily rain on a roof to the reliability of several tank sizes',
    body: storageReliabilityInput,
    response: storageReliabilityResult,
    bodyLimitBytes: LARGE_BODY_BYTES,
    calculate: calculations.storageReliability,
  });
  calculationRoute(app, {
    name: 'tank-check',
    operationId: 'calculateTankCheck',
    summary: 'Check one tank design: wall, bands, dome, ground, wind and earthquake',
    body: tankCheckInput,
    response: tankCheckResult,
    calculate: calculations.tankCheck,
  });
  calculationRoute(app, {
    name: 'tank-proposal',
    operationId: 'calculateTankProposal',
    summary: 'Propose the cheapest tank that passes every check with margin, among its neighbours',
    body: tankProposalInput,
    response: tankProposalResult,
    bodyLimitBytes: LARGE_BODY_BYTES,
    calculate: calculations.tankProposal,
  });
  calculationRoute(app, {
    name: 'standard-sizes',
    operationId: 'calculateStandardSizes',
    summary: 'Choose the best standard sizes for the sites of a programme',
    body: standardSizesInput,
    response: standardSizesResult,
    bodyLimitBytes: LARGE_BODY_BYTES,
    calculate: calculations.standardSizes,
  });
  calculationRoute(app, {
    name: 'cutting-plan',
    operationId: 'calculateCuttingPlan',
    summary: 'Plan cuts from stock lengths, with a proof or a bound',
    body: cuttingPlanInput,
    response: cuttingPlanResult,
    calculate: calculations.cuttingPlan,
  });
  calculationRoute(app, {
    name: 'order-plan',
    operationId: 'calculateOrderPlan',
    summary: 'Plan orders over several periods at the least cost, with a proof or a bound',
    body: orderPlanInput,
    response: orderPlanResult,
    bodyLimitBytes: LARGE_BODY_BYTES,
    calculate: calculations.orderPlan,
  });
  calculationRoute(app, {
    name: 'season-plan',
    operationId: 'calculateSeasonPlan',
    summary: 'Plan activities on crews and other resources, with a proof or a bound',
    body: seasonPlanInput,
    response: seasonPlanResult,
    bodyLimitBytes: LARGE_BODY_BYTES,
    calculate: calculations.seasonPlan,
  });
  calculationRoute(app, {
    name: 'watertightness',
    operationId: 'calculateWatertightness',
    summary: 'Judge a seven-day watertightness test',
    body: watertightnessInput,
    response: watertightnessResult,
    calculate: calculations.watertightness,
  });
  calculationRoute(app, {
    name: 'disinfection-dose',
    operationId: 'calculateDisinfectionDose',
    summary: 'Starting dose of a chlorine product for the water in a tank',
    body: disinfectionDoseInput,
    response: disinfectionDoseResult,
    calculate: calculations.disinfectionDose,
  });
  calculationRoute(app, {
    name: 'life-cycle-cost',
    operationId: 'calculateLifeCycleCost',
    summary: 'Present value and annualised cost of a tank over its life',
    body: lifeCycleCostInput,
    response: lifeCycleCostResult,
    calculate: calculations.lifeCycleCost,
  });
  calculationRoute(app, {
    name: 'cost-sensitivity',
    operationId: 'calculateCostSensitivity',
    summary: 'Which price or assumption moves the cost per litre of a tank most',
    body: costSensitivityInput,
    response: costSensitivityResult,
    calculate: calculations.costSensitivity,
  });
}
