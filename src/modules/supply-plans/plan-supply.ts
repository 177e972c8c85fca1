import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import { newSupplyPlan, type SupplyShortfall } from '../../../shared/contract/supply-plan.ts';
import { civilDate, id } from '../../../shared/contract/values.ts';
import { currencyExponent } from '../../../shared/costing/currency.ts';
import {
  addMoney,
  type Money,
  sumMoney,
  timesMoney,
  zeroMoney,
} from '../../../shared/costing/money.ts';
import { offerAmount, orderCostOf } from '../../../shared/costing/offer-amount.ts';
import { type BuyingWay, buyingWays } from '../../../shared/procurement/buying-ways.ts';
import type { OrderPlan } from '../../../shared/procurement/order-plan-types.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import { ENGINE_VERSION } from '../../../shared/version.ts';
import type { JobHandler, RunningJob } from '../../jobs/run-job.ts';
import type { DeliveryWeeks } from './delivery-weeks.ts';
import { coveredNeeds, explainLine, moneyOfNumber, pricingOf } from './explain-lines.ts';
import { insertSupplyPlan, type MadeLine, type MadePlan } from './plan-repository.ts';
import { readSeason, type SeasonToPlan } from './read-season.ts';
import { type SeasonItem, tripCost } from './season-problem.ts';
import { type SolvedSeason, solveSeason, without } from './solve-season.ts';
import { tankNeedsOf } from './tank-needs.ts';

const jobInput = newSupplyPlan.extend({ programmeId: id, today: civilDate });

/**
 * Plans the orders of a season: reads the needs, solves villages in worker threads, and writes the plan
 * in one step at the end. Killed or out of time, nothing of it is kept and the plan before it stays.
 */
export const planSupply: JobHandler = async (job) => {
  const { programmeId, today, ...settings } = jobInput.parse(job.input);
  const season = await job.read((tx) => readSeason(tx, programmeId, today, settings));
  const solved = await solveSeason(job, season);
  const plan = madePlan(job, season, solved);
  const { done } = solved;
  await job.step({ done, total: done }, (tx) => insertSupplyPlan(tx, plan));
  return {
    supplyPlanId: plan.id,
    code: plan.code,
    status: plan.status,
    totalAmount: plan.total,
    gapRatio: plan.gapRatio,
    shortfallCount: plan.shortfalls.length,
  };
};

function madePlan(job: RunningJob, season: SeasonToPlan, solved: SolvedSeason): MadePlan {
  const { currency } = season.programme;
  const exponent = currencyExponent(currency);
  const items = new Map(season.problem.items.map((item) => [item.input.id, item]));
  const lines = season.problem.items.flatMap((item) => linesOf(season, item, solved.plan));
  lines.sort(
    (a, b) =>
      compareText(a.placeBy, b.placeBy) ||
      compareText(a.villageCode, b.villageCode) ||
      compareText(a.materialCode, b.materialCode),
  );
  const purchase = sumMoney(
    lines.map(({ amount }) => amount),
    currency,
  );
  const ordering = sumMoney(
    lines.map(({ offer }) => orderCostOf(pricingOf(offer))),
    currency,
  );
  const transport = sumMoney(tripMoney(season, solved.plan, exponent), currency);
  const holding = moneyOfNumber(solved.plan.costs?.holding ?? 0, currency, exponent);
  const total = [ordering, transport, holding].reduce(addMoney, purchase);
  const bound = lowerBound(solved.plan, total, exponent);
  const totalNumber = Number(total.amount);
  return {
    id: job.id,
    programmeId: season.programmeId,
    jobId: job.id,
    code: season.code,
    startsOn: season.weeks.startsOn,
    periodCount: season.weeks.periodCount,
    periodDays: season.weeks.periodDays,
    pricedOn: season.pricedOn,
    currency,
    engineVersion: ENGINE_VERSION,
    status: solved.plan.status === 'optimal' ? 'optimal' : 'feasible',
    total,
    bound,
    gapRatio: totalNumber > 0 ? (totalNumber - Number(bound.amount)) / totalNumber : 0,
    solverTimeS: solved.elapsedS,
    replansId: season.settings.replansId ?? null,
    settings: season.settings,
    needsDigest: createHash('sha256').update(JSON.stringify(season.needs)).digest('hex'),
    comparison: comparisonOf(season, solved, total, exponent),
    shortfalls: solved.plan.shortfalls.map((shortfall) => shortfallOf(season, items, shortfall)),
    decomposition: {
      ...solved.plan.decomposition,
      remark: remarkOf(season, solved),
    },
    costParts: { purchase, ordering, transport, holding },
    lines: lines.map((line, index) => ({ ...line, position: index + 1 })),
  };
}

const remarkOf = ({ undated }: SeasonToPlan, { plan }: SolvedSeason): string => {
  const parts = [
    plan.decomposition.isExact
      ? 'Parts that share neither lorries, stores nor cash were planned apart; together they are the whole.'
      : 'The season was too large for one model: parts were planned one after the other.',
    undated.buildCount > 0
      ? `${undated.buildCount} builds without a planned start are not in it.`
      : '',
  ];
  return parts.filter((part) => part !== '').join(' ');
};

function linesOf(
  season: SeasonToPlan,
  item: SeasonItem,
  plan: OrderPlan,
): Omit<MadeLine, 'position'>[] {
  const orders = plan.orders.filter(({ itemId }) => itemId === item.input.id);
  const covers = coveredNeeds(item, orders);
  const { currency } = season.programme;
  return orders.map((order) => {
    const at = item.offers.get(order.offerId ?? '');
    if (!at) throw new Error(`The plan orders by an offer that was not given: ${order.offerId}`);
    const { offer, weeks } = at;
    const packCount = order.packCount ?? 0;
    const amount = offerAmount(pricingOf(offer), packCount);
    const sharedTripLines = plan.orders.filter(
      (other) =>
        other !== order &&
        other.supplierId === order.supplierId &&
        other.arrivesInPeriod === order.arrivesInPeriod &&
        other.itemId.endsWith(item.villageId),
    ).length;
    return {
      id: uuidv7(),
      offer,
      supplierId: offer.supplierId,
      materialId: item.materialId,
      materialCode: season.market.materials.get(item.materialId)?.code ?? '',
      villageId: item.villageId,
      villageCode: season.market.villages.get(item.villageId)?.code ?? '',
      unitCode: item.unitCode,
      placeBy: weeks.placeBy(order.arrivesInPeriod),
      arrivesOn: weeks.arrivesOn(order.arrivesInPeriod),
      packCount,
      quantity: quantityOf(offer.packContent, packCount),
      amount,
      explanation: explainLine(
        { item, order, at, packCount, covers: covers.get(order) ?? [], sharedTripLines, currency },
        season.weeks,
      ),
    };
  });
}

/** packContent · packs, exact: at most six decimals. */
function quantityOf(packContent: string, packCount: number): string {
  const [whole = '0', fraction = ''] = packContent.split('.');
  const micro = BigInt(whole + fraction.padEnd(6, '0')) * BigInt(packCount);
  const text = micro.toString().padStart(7, '0');
  return `${text.slice(0, -6)}.${text.slice(-6)}`.replace(/\.?0+$/, '');
}

function tripMoney(season: SeasonToPlan, plan: OrderPlan, exponent: number): Money[] {
  const { currency } = season.programme;
  const perTrip = new Map<string, Money>(
    season.problem.items.flatMap(({ offers, villageId }) =>
      [...offers.values()].flatMap(({ offer, delivery }) =>
        delivery === null
          ? []
          : [
              [
                `${offer.supplierId} ${villageId}`,
                moneyOfNumber(tripCost(delivery), currency, exponent),
              ] as const,
            ],
      ),
    ),
  );
  return plan.trips.map(({ tripGroupId, tripCount }) =>
    timesMoney(perTrip.get(tripGroupId) ?? zeroMoney(currency), tripCount),
  );
}

/** The engine's bound, rounded down to the currency and never above the total that was counted exactly. */
function lowerBound(
  { lowerBound: bound, totalCost, status }: OrderPlan,
  total: Money,
  exponent: number,
): Money {
  const scale = 10 ** exponent;
  const isProved = status === 'optimal' || (bound !== null && bound === totalCost);
  const floor = Math.floor((bound ?? 0) * scale) / scale;
  const lowest = isProved ? Number(total.amount) : Math.min(floor, Number(total.amount));
  return moneyOfNumber(lowest, total.currency, exponent);
}

/** Other ways of buying the same: the needs that the plan meets. */
function comparisonOf(
  season: SeasonToPlan,
  { plan }: SolvedSeason,
  total: Money,
  exponent: number,
) {
  const met = without(
    {
      periodCount: season.problem.periodCount,
      items: season.problem.items.map(({ input }) => input),
      trips: season.problem.trips,
      ...season.common,
    },
    plan.shortfalls,
  );
  const ways = buyingWays(met, tankNeedsOf(met.items, season.byBuild));
  const shown = ({ totalCost, ...way }: BuyingWay) => ({
    ...way,
    breaks: [...way.breaks],
    totalAmount: totalCost === null ? null : moneyOfNumber(totalCost, total.currency, exponent),
    savingAmount:
      totalCost === null
        ? null
        : moneyOfNumber(totalCost - Number(total.amount), total.currency, exponent),
  });
  return {
    perTank: shown(ways.perTank),
    perVillage: shown(ways.perVillage),
    cheapestUnitPrice: shown(ways.cheapestUnitPrice),
  };
}

function shortfallOf(
  season: SeasonToPlan,
  items: ReadonlyMap<string, SeasonItem>,
  { itemId, period, quantity, reason }: OrderPlan['shortfalls'][number],
): SupplyShortfall {
  const item = items.get(itemId) as SeasonItem;
  return {
    materialId: item.materialId,
    materialCode: season.market.materials.get(item.materialId)?.code ?? '',
    villageId: item.villageId,
    villageCode: season.market.villages.get(item.villageId)?.code ?? '',
    periodStartsOn: addDays(season.weeks.startsOn, (period - 1) * season.weeks.periodDays),
    quantity: String(Number(quantity.toFixed(6))),
    unitCode: item.unitCode as SupplyShortfall['unitCode'],
    ...reasonOf(season, item, period, reason),
  };
}

/** Why nothing serves a need, in the words of the season: offers, dates and villages. */
function reasonOf(
  { programme }: SeasonToPlan,
  item: SeasonItem,
  period: number,
  reason: string,
): Pick<SupplyShortfall, 'reason' | 'detail'> {
  const offers = [...item.offers.values()];
  if (offers.length === 0) {
    if (item.refused.length === 0) {
      return { reason: 'no-offer', detail: 'Nobody offers it in this season.' };
    }
    const isPriced = item.refused.some(({ offer }) => offer.currency === programme.currency);
    return {
      reason: isPriced ? 'no-offer' : 'no-offer-in-currency',
      detail: [...new Set(item.refused.map((one) => one.reason))].join('; '),
    };
  }
  if (reason === 'no-arrival-in-time' || reason === 'no-offer') {
    // an open road would bring it in time
    const isCutOff = offers.some(({ weeks }) => weeks.cutOffPeriods.some((week) => week <= period));
    const first = offers
      .flatMap(({ weeks }) => firstArrival(weeks, item.input.demand.length) ?? [])
      .sort()[0];
    return {
      reason: isCutOff ? 'village-not-reachable' : 'cannot-arrive-in-time',
      detail: first
        ? `The first delivery can come on ${first}.`
        : 'No delivery can come in this season.',
    };
  }
  const known: Record<string, Pick<SupplyShortfall, 'reason' | 'detail'>> = {
    'shelf-life': {
      reason: 'shelf-life',
      detail: 'What can come is past its shelf life when the stage starts.',
    },
    'maximum-quantity': {
      reason: 'above-maximum',
      detail: 'The largest orders of all offers together do not reach it.',
    },
  };
  return (
    known[reason] ?? {
      reason: 'limits-together',
      detail: 'Cash, stores and offers together do not allow it.',
    }
  );
}

function firstArrival(weeks: DeliveryWeeks, periodCount: number): string | null {
  for (let period = weeks.leadPeriods + 1; period <= periodCount; period += 1) {
    if (!weeks.blockedPeriods.includes(period)) return weeks.arrivesOn(period);
  }
  return null;
}

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
