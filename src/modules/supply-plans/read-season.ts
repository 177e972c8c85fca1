import type { NewSupplyPlan } from '../../../shared/contract/supply-plan.ts';
import type { KeptOrder, OrderPlanInput } from '../../../shared/procurement/order-plan-types.ts';
import { addDays, daysBetween } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import type { BuildNeed, UndatedBuilds } from '../material-needs/gross-needs.ts';
import type { NetNeed } from '../material-needs/net-needs.ts';
import type { PlannedProgramme } from '../material-needs/stage-due-dates.ts';
import { createMaterialNeeds } from '../material-needs/use-cases.ts';
import type { SeasonWeeks } from './delivery-weeks.ts';
import { type Market, readMarket } from './market-repository.ts';
import { type KeptLine, keptLines, nextPlanCode } from './plan-repository.ts';
import { itemIdOf, type SeasonProblem, seasonProblem } from './season-problem.ts';

/** The search ends when a plan is proved within this share of the best. */
const GAP_RATIO = 0.001;
/** Weight of a changed line, as a share of the mean line of the earlier plan. */
const CHANGE_SHARE = 0.01;

export interface SeasonToPlan {
  readonly programmeId: string;
  readonly programme: PlannedProgramme;
  readonly code: string;
  readonly pricedOn: string;
  readonly weeks: SeasonWeeks;
  readonly settings: NewSupplyPlan;
  readonly gapRatio: number;
  readonly needs: readonly NetNeed[];
  readonly byBuild: readonly BuildNeed[];
  readonly undated: UndatedBuilds;
  readonly market: Market;
  readonly problem: SeasonProblem;
  readonly common: Pick<OrderPlanInput, 'cashLimits' | 'keep' | 'changePenalty'>;
}

/** Everything that a season's order plan is made from, as it stands in one transaction. */
export async function readSeason(
  tx: Tx,
  programmeId: string,
  today: string,
  settings: NewSupplyPlan,
): Promise<SeasonToPlan> {
  const needsOf = createMaterialNeeds({ today: () => today });
  const asked = {
    programmeId,
    startsOn: settings.startsOn,
    periodCount: settings.periodCount,
    dueDaysBeforeStage: settings.dueDaysBeforeStage,
    ageAtArrivalDays: settings.ageAtArrivalDays,
  };
  const season = await needsOf.season(tx, asked);
  const { programme, horizon, needs, undated, isWorkingDay } = season;
  const ordersFrom = [horizon.startsOn, today].toSorted().at(-1) ?? today;
  const weeks: SeasonWeeks = { ...horizon, ordersFrom, isWorkingDay };
  const open = needs.filter(({ netQuantity }) => netQuantity !== '0');
  const market = await readMarket(tx, {
    materialIds: [...new Set(open.map(({ materialId }) => materialId))],
    villageIds: [...new Set(open.map(({ villageId }) => villageId))],
    currency: programme.currency,
    from: horizon.startsOn,
    until: addDays(horizon.startsOn, horizon.periodCount * horizon.periodDays),
  });
  const problem = seasonProblem(open, market, weeks, {
    currency: programme.currency,
    dueDaysBeforeStage: settings.dueDaysBeforeStage,
    holdingRatePerYear: settings.holdingRatePerYear,
    ageAtArrivalDays: settings.ageAtArrivalDays,
    gapRatio: GAP_RATIO,
  });
  const earlier = settings.replansId ? await keptLines(tx, programmeId, settings.replansId) : null;
  return {
    programmeId,
    programme,
    code: await nextPlanCode(tx, programmeId, programme.code),
    pricedOn: horizon.startsOn,
    weeks,
    settings,
    gapRatio: GAP_RATIO,
    needs: open,
    byBuild: await needsOf.byBuild(tx, asked),
    undated,
    market,
    problem,
    common: {
      ...cashOf(settings, horizon.periodCount),
      ...(earlier ? keptOf(earlier, settings, problem, weeks) : {}),
    },
  };
}

function cashOf({ cashLimits }: NewSupplyPlan, periodCount: number) {
  if (cashLimits === undefined) return {};
  // Weeks that are not named have no limit of their own: as much as all the money there is.
  const unlimited = 1e8;
  return {
    cashLimits: Array.from({ length: periodCount }, (_, index) =>
      Number(cashLimits[index]?.amount ?? unlimited),
    ),
  };
}

/** Lines of the earlier plan that are not on order yet and can still be placed. */
function keptOf(
  lines: readonly KeptLine[],
  settings: NewSupplyPlan,
  problem: SeasonProblem,
  weeks: SeasonWeeks,
): Pick<OrderPlanInput, 'keep' | 'changePenalty'> {
  const items = new Map(problem.items.map((item) => [item.input.id, item]));
  const keep = lines.flatMap((line): KeptOrder[] => {
    const itemId = itemIdOf(line.materialId, line.villageId);
    const at = items.get(itemId)?.offers.get(line.offerId);
    if (!at) return [];
    const arrives = Math.floor(daysBetween(weeks.startsOn, line.arrivesOn) / weeks.periodDays) + 1;
    const placedInPeriod = arrives - at.weeks.leadPeriods;
    if (placedInPeriod < 1 || arrives > weeks.periodCount) return [];
    return [
      {
        itemId,
        supplierId: at.offer.supplierId,
        offerId: line.offerId,
        placedInPeriod,
        quantity: Number(line.quantity),
      },
    ];
  });
  const mean =
    lines.reduce((sum, { amount }) => sum + Number(amount), 0) / Math.max(1, lines.length);
  const perOrder = settings.changePenalty
    ? Number(settings.changePenalty.amount)
    : mean * CHANGE_SHARE;
  const units = lines.reduce((sum, { quantity }) => sum + Number(quantity), 0);
  return {
    keep,
    changePenalty: {
      perOrder,
      perUnit: units > 0 ? (mean * lines.length * CHANGE_SHARE) / units / 100 : 0,
    },
  };
}
