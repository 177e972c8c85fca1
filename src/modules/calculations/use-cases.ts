import type { CostSensitivityBody } from '../../../shared/contract/calculation-cost-sensitivity.ts';
import {
  CUTTING_TIME_LIMIT_S,
  type CuttingPlanBody,
} from '../../../shared/contract/calculation-cutting-plan.ts';
import type { DisinfectionDoseBody } from '../../../shared/contract/calculation-disinfection-dose.ts';
import type { LifeCycleCostBody } from '../../../shared/contract/calculation-life-cycle-cost.ts';
import {
  ORDER_PLAN_TIME_LIMIT_S,
  type OrderPlanBody,
} from '../../../shared/contract/calculation-order-plan.ts';
import {
  SEASON_EFFORT,
  type SeasonPlanBody,
} from '../../../shared/contract/calculation-season-plan.ts';
import type { StandardSizesBody } from '../../../shared/contract/calculation-standard-sizes.ts';
import type { StorageReliabilityBody } from '../../../shared/contract/calculation-storage-reliability.ts';
import type { TankCheckBody } from '../../../shared/contract/calculation-tank-check.ts';
import type { TankProposalBody } from '../../../shared/contract/calculation-tank-proposal.ts';
import type { WatertightnessBody } from '../../../shared/contract/calculation-watertightness.ts';
import { checkTank } from '../../../shared/design/check-tank.ts';
import { chlorineDose } from '../../../shared/hydrology/disinfection-dose.ts';
import { judgeWatertightness } from '../../../shared/hydrology/watertightness.ts';
import {
  VOLUME_RATE_CLASSES,
  volumeRateTest,
} from '../../../shared/hydrology/watertightness-rate.ts';
import type { CuttingPlan } from '../../../shared/procurement/cutting-types.ts';
import type { OrderPlan } from '../../../shared/procurement/order-plan-types.ts';
import { DomainError } from '../../domain/errors.ts';
import { storageReliabilityTask } from '../../workers/tasks/storage-reliability.ts';
import { storageCautions, WATERTIGHTNESS_CAUTIONS } from './cautions.ts';
import { sensitivityOfCost } from './cost-sensitivity.ts';
import { lifeCycle } from './life-cycle.ts';
import { withinLimit } from './worker-limits.ts';

/** Days times tanks up to which a reliability is computed at once: about 20 ms of one thread. */
const MAX_TANK_DAYS_AT_ONCE = 1_000_000;

/** Wall-clock limits of what runs in a worker thread, a free one waited for. */
export const LIMIT_S = {
  storage: 10,
  proposal: 25,
  sizes: 25,
  cuttingMargin: 10,
  seasonMargin: 10,
  orderMargin: 10,
} as const;

/** The calculations of the engine: the functions that the records use, without a record. */
export const calculations = {
  async storageReliability(body: StorageReliabilityBody) {
    const tankDays = body.dailyRainMm.length * body.capacitiesL.length;
    const found =
      tankDays <= MAX_TANK_DAYS_AT_ONCE
        ? storageReliabilityTask(body)
        : await withinLimit('storage-reliability', body, LIMIT_S.storage);
    return { ...found, cautions: storageCautions(body) };
  },

  tankCheck: (body: TankCheckBody) => checkTank(body),

  async cuttingPlan(body: CuttingPlanBody) {
    const timeLimitS = body.timeLimitS ?? CUTTING_TIME_LIMIT_S.default;
    return plannedCuts(
      await withinLimit('cutting-plan', body, timeLimitS + LIMIT_S.cuttingMargin),
      timeLimitS,
    );
  },

  async orderPlan(body: OrderPlanBody) {
    const timeLimitS = body.timeLimitS ?? ORDER_PLAN_TIME_LIMIT_S.default;
    return plannedOrders(
      await withinLimit('order-plan', body, timeLimitS + LIMIT_S.orderMargin),
      timeLimitS,
    );
  },

  seasonPlan(body: SeasonPlanBody) {
    const timeLimitS = body.effort?.timeLimitS ?? SEASON_EFFORT.timeLimitS.default;
    return withinLimit('season-plan', body, timeLimitS + LIMIT_S.seasonMargin);
  },

  watertightness(body: WatertightnessBody) {
    const volumeRateLimits = Object.entries(VOLUME_RATE_CLASSES).map(
      ([className, allowedLossRatioPerDay]) => {
        const { limitMmPerDay, testDays } = volumeRateTest(
          body.averageDepthM,
          allowedLossRatioPerDay,
        );
        return { className, allowedLossRatioPerDay, limitMmPerDay, testDays };
      },
    );
    return { ...judgeWatertightness(body), volumeRateLimits, cautions: WATERTIGHTNESS_CAUTIONS };
  },

  disinfectionDose: (body: DisinfectionDoseBody) => chlorineDose(body),

  lifeCycleCost: (body: LifeCycleCostBody) => lifeCycle(body),

  costSensitivity: (body: CostSensitivityBody) => sensitivityOfCost(body),

  tankProposal: (body: TankProposalBody) => withinLimit('tank-proposal', body, LIMIT_S.proposal),

  standardSizes: (body: StandardSizesBody) => withinLimit('standard-sizes', body, LIMIT_S.sizes),
};

export type Calculations = typeof calculations;

/** Orders to answer with; none found in the time given is no answer. */
export function plannedOrders(plan: OrderPlan, timeLimitS: number) {
  const { status } = plan;
  if (status === 'unsolved') {
    throw new DomainError('unavailable', {
      detail: `No order plan was found within ${timeLimitS} s, and none was proved impossible. Allow more time, or ask for fewer items or periods at once.`,
      retryAfterS: 10,
    });
  }
  return { ...plan, status };
}

/** A plan to answer with; none found in the time given is no answer. */
export function plannedCuts(plan: CuttingPlan, timeLimitS: number) {
  const { status } = plan;
  if (status === 'unsolved') {
    throw new DomainError('unavailable', {
      detail: `No plan was found within ${timeLimitS} s, and none was proved impossible. Allow more time, more stock or fewer kinds of pieces.`,
      retryAfterS: 10,
    });
  }
  return { ...plan, status };
}
