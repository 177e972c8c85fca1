import type { TankNeed } from '../../shared/procurement/buying-ways.ts';
import type {
  OrderPlanInput,
  PlanItemInput,
  PlanOffer,
  TripGroup,
} from '../../shared/procurement/order-plan-types.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { stageDates } from '../../shared/scheduling/stage-dates.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../../shared/takeoff/bamboo-band-mortar-recipe.ts';
import { takeoffTank } from '../../shared/takeoff/bill-of-quantities.ts';
import { addDays, daysBetween, isoWeekday } from '../../shared/units/calendar.ts';
import { COST_PER_KM, LORRIES } from '../demo/delivery-terms.ts';
import { HANDLING } from '../demo/material-handling.ts';
import {
  BREAKS,
  ORDER_COSTS,
  PRICES,
  SECOND_SUPPLIER_FACTOR,
  SUPPLIERS_OF,
} from '../demo/price-list.ts';
import { VILLAGES } from '../demo/scenario.ts';

const STARTS_ON = '2026-09-07';
const FIRST_BUILD_ON = '2026-10-19';
const BUILDS_PER_VILLAGE = 12;
const BUILDS_PER_CREW = 24;
const DAYS_BETWEEN_BUILDS_OF_A_CREW = 5;
const HOLDING_RATE_PER_WEEK = 0.2 / 52;
const CEMENT_SHELF_WEEKS = 9;

/** The tank of 5,000 litres of the demonstration. */
const TANK = {
  insideDiameterM: 1.9,
  waterDepthM: 1.8,
  wallThicknessM: 0.055,
  bands: {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 0.7,
    spacing: 'equal-load' as const,
    count: 8,
  },
  dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
  slab: { diameterM: 2.31, thicknessM: 0.1 },
};

export interface SupplySeason {
  readonly input: OrderPlanInput;
  readonly tankNeeds: readonly TankNeed[];
  readonly villageCount: number;
}

/** A season of the demonstration's prices, suppliers and lorries at any number of equal tanks. */
export function supplySeason(buildCount: number): SupplySeason {
  const villageCount = Math.ceil(buildCount / BUILDS_PER_VILLAGE);
  const tankNeeds = seasonNeeds(buildCount, villageCount);
  const periodCount = tankNeeds.reduce((last, { period }) => Math.max(last, period), 0);
  const demands = new Map<string, number[]>();
  for (const { itemId, period, quantity } of tankNeeds) {
    const demand = demands.get(itemId) ?? Array.from({ length: periodCount }, () => 0);
    demand[period - 1] = (demand[period - 1] ?? 0) + quantity;
    demands.set(itemId, demand);
  }
  const trips = new Map<string, TripGroup>();
  const items = [...demands].map(([id, demand]) => seasonItem(id, demand, trips));
  return { input: { periodCount, items, trips: [...trips.values()] }, tankNeeds, villageCount };
}

function seasonNeeds(buildCount: number, villageCount: number): TankNeed[] {
  const lines = takeoffTank(TANK, BAMBOO_BAND_MORTAR_RECIPE).filter(
    ({ materialCode }) => !materialCode.startsWith('labour'),
  );
  const crewCount = Math.max(5, Math.round(buildCount / BUILDS_PER_CREW));
  return Array.from({ length: buildCount }, (_, build) => {
    const turn = Math.floor((build / crewCount) * DAYS_BETWEEN_BUILDS_OF_A_CREW);
    const dates = stageDates(
      BAMBOO_BAND_MORTAR_STAGES,
      addDays(FIRST_BUILD_ON, turn),
      (day) => isoWeekday(day) !== 7,
    );
    const startOf = new Map(dates.map(({ stageCode, startsOn }) => [stageCode, startsOn]));
    return lines.map(({ materialCode, stageCode, withWasteQuantity }) => ({
      tankId: String(build),
      itemId: `${materialCode} ${build % villageCount}`,
      period: Math.floor(daysBetween(STARTS_ON, startOf.get(stageCode) ?? FIRST_BUILD_ON) / 7),
      quantity: Number(withWasteQuantity),
    }));
  }).flat();
}

function seasonItem(id: string, demand: number[], trips: Map<string, TripGroup>): PlanItemInput {
  const [code = '', village = '0'] = id.split(' ');
  const price = PRICES[code] ?? PRICES[`${code}-25x2`];
  if (!price) throw new Error(`The price list has no ${code}`);
  const [, content, pricePerPack, leadDays, category] = price;
  const packSize = Number(content);
  const roads = VILLAGES[Number(village) % VILLAGES.length]?.roadKm ?? [0, 0];
  const breaks = BREAKS[code];
  const offers = SUPPLIERS_OF[category].map((supplierId, index): PlanOffer => {
    const unitCost = (Number(pricePerPack) * (index === 0 ? 1 : SECOND_SUPPLIER_FACTOR)) / packSize;
    const lorry = LORRIES.find(({ supplier }) => supplier === supplierId);
    const tripGroupId = `${supplierId} ${village}`;
    if (lorry) {
      const costPerTrip = Number(lorry.costPerTrip) + Number(COST_PER_KM) * roads[lorry.road];
      trips.set(tripGroupId, { id: tripGroupId, costPerTrip, payloadKg: lorry.payloadKg });
    }
    return {
      supplierId,
      unitCost,
      orderCost: Number(ORDER_COSTS[category] ?? 0),
      packSize,
      leadPeriods: Math.ceil(leadDays / 6),
      ...(lorry ? { tripGroupId } : {}),
      ...(breaks
        ? {
            breakRule: breaks[0],
            priceBreaks: breaks[1].map(([fromPacks, factor]) => ({
              fromQuantity: fromPacks * packSize,
              unitCost: unitCost * factor,
            })),
          }
        : {}),
    };
  });
  return {
    id,
    demand,
    holdingCostPerUnit: (offers[0]?.unitCost ?? 0) * HOLDING_RATE_PER_WEEK,
    massKgPerUnit: HANDLING[code]?.[0] ?? 1,
    offers,
    ...(code === 'cement' ? { shelfLifePeriods: CEMENT_SHELF_WEEKS } : {}),
  };
}
