import { v7 as uuidv7 } from 'uuid';
import type { OrderSummary } from '../../../shared/contract/order.ts';
import type { NewOrderPlan, OrderPlan } from '../../../shared/contract/order-plan.ts';
import { aggregateOrders, type OrderLine } from '../../../shared/procurement/order-aggregation.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { marketOn } from './market.ts';
import {
  type DatedOffer,
  findBuilds,
  lockProgramme,
  offersFor,
  openNeeds,
  programmeExists,
} from './needs-repository.ts';
import { listPlanLines, type PlanLine } from './plan-lines.ts';
import {
  findPlan,
  insertOrders,
  insertPlan,
  listPlans,
  type NewPlan,
  type NewPlannedLine,
  type NewPlannedOrder,
} from './repository.ts';

export interface OrderPlans {
  make(tx: Tx, programmeId: string, input: NewOrderPlan): Promise<OrderPlan>;
  get(tx: Tx, id: string): Promise<OrderPlan>;
  readonly list: typeof listPlans;
  /** The plan's code and its lines, for a file. */
  lines(tx: Tx, id: string): Promise<{ readonly code: string; readonly lines: PlanLine[] }>;
}

export type ListOrdersOfPlan = (tx: Tx, orderPlanId: string) => Promise<OrderSummary[]>;

/**
 * Plans orders from the bills of builds: what no order covers yet is added up by material and
 * village, bought at the cheapest offer, and rounded to packs once.
 */
export function createOrderPlans(listOrdersOfPlan: ListOrdersOfPlan): OrderPlans {
  async function get(tx: Tx, id: string): Promise<OrderPlan> {
    const plan = await findPlan(tx, id);
    if (!plan) throw notFound('order plan', id);
    return { ...plan, orders: await listOrdersOfPlan(tx, id) };
  }

  return {
    get,
    async list(tx, programmeId, page) {
      if (!(await programmeExists(tx, programmeId))) throw notFound('programme', programmeId);
      return listPlans(tx, programmeId, page);
    },
    async lines(tx, id) {
      const plan = await findPlan(tx, id);
      if (!plan) throw notFound('order plan', id);
      return { code: plan.code, lines: await listPlanLines(tx, id) };
    },
    async make(tx, programmeId, input) {
      const { pricedOn, needsBy } = input;
      const programme = await lockProgramme(tx, programmeId);
      if (!programme) throw notFound('programme', programmeId);
      if (input.buildIds) await requireLiveBuilds(tx, programmeId, input.buildIds);
      const needs = await openNeeds(tx, programmeId, input.buildIds ?? null);
      if (needs.length === 0) {
        throw ruleBroken(
          'nothing-to-order',
          'Every need of these builds is on order already, given in kind, or not in a bill yet.',
        );
      }
      const materialIds = [...new Set(needs.map(({ materialCode }) => materialCode))];
      const offers = await offersFor(tx, materialIds, pricedOn);
      const market = marketOn(offers, pricedOn, needsBy ?? null);
      const proposal = aggregateOrders(needs, market.offers, pricedOn, programme.currency);
      const plan: NewPlan = {
        id: input.id ?? uuidv7(),
        programmeId,
        code: `${programme.code}-OP${programme.plan_count + 1}`,
        pricedOn,
        buildIds: [...new Set(needs.map(({ buildId }) => buildId))],
        totalAmount: proposal.totalAmount,
        packCount: proposal.totalPackCount,
        roundedPerTankAmount: proposal.perBuildTotalAmount,
        roundedPerTankPackCount: proposal.perBuildTotalPackCount,
        unserved: proposal.unserved.map(market.explained),
      };
      await insertPlan(tx, plan);
      const { orders, lines } = split(plan, proposal.lines, offers);
      await insertOrders(tx, plan, needsBy ?? null, orders, lines);
      await tx.audit('create', 'order plan', plan.id, {
        ...input,
        code: plan.code,
        orderCount: orders.length,
        unservedCount: plan.unserved.length,
      });
      return get(tx, plan.id);
    },
  };
}

async function requireLiveBuilds(tx: Tx, programmeId: string, buildIds: readonly string[]) {
  const found = await findBuilds(tx, programmeId, buildIds);
  const byId = new Map(found.map((build) => [build.id, build]));
  const unknown = buildIds.flatMap((rejectedValue, index) =>
    byId.has(rejectedValue)
      ? []
      : [
          {
            pointer: `/buildIds/${index}`,
            code: 'reference.unknown',
            message: 'is not a build of this programme',
            rejectedValue,
          },
        ],
  );
  if (unknown.length > 0) throw invalidContent(unknown);
  const cancelled = found.filter(({ cancelled_on }) => cancelled_on !== null);
  if (cancelled.length === 0) return;
  const codes = cancelled.map(({ code }) => code).join(', ');
  throw ruleBroken('build-cancelled', `Nothing is ordered for a cancelled build: ${codes}.`);
}

/** One order for each supplier and village, its lines within. */
function split(plan: NewPlan, proposed: readonly OrderLine[], offers: readonly DatedOffer[]) {
  const packCodeOf = new Map(offers.map(({ id, pack_code }) => [id, pack_code]));
  const orders = new Map<string, NewPlannedOrder>();
  const lines = proposed.map((line): NewPlannedLine => {
    const { supplierId, deliveryVillageId } = line;
    const key = `${supplierId} ${deliveryVillageId}`;
    const order = orders.get(key) ?? {
      id: uuidv7(),
      supplierId,
      deliveryVillageId,
      code: `${plan.code}-${String(orders.size + 1).padStart(2, '0')}`,
    };
    orders.set(key, order);
    return {
      id: uuidv7(),
      orderId: order.id,
      materialId: line.materialCode,
      offerId: line.offerId,
      unitCode: line.unitCode,
      needQuantity: line.need,
      packCode: packCodeOf.get(line.offerId) ?? '',
      packContent: line.packContent,
      packCount: line.packCount,
      orderedQuantity: line.ordered,
      roundingQuantity: line.rounding,
      pricePerPack: line.packPrice.amount,
      amount: line.amount.amount,
    };
  });
  return { orders: [...orders.values()], lines };
}
