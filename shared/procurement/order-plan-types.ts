/** A lower price for one unit from a quantity on. */
export interface OrderPriceBreak {
  readonly fromQuantity: number;
  readonly unitCost: number;
}

/** A way to buy an item; one order a period at most. */
export interface PlanOffer {
  readonly supplierId: string;
  /** Needed to tell apart several offers of one supplier for one item. */
  readonly offerId?: string | undefined;
  /** Of one unit, not of a pack. */
  readonly unitCost: number;
  /** Of one order, one for all or one for each period in which it may be placed. */
  readonly orderCost: number | readonly number[];
  /** Whole packs only; any quantity when left out. */
  readonly packSize?: number | undefined;
  /** Of one order. */
  readonly minimumQuantity?: number | undefined;
  readonly maximumQuantity?: number | undefined;
  /** From placing to arrival; 0 when left out. */
  readonly leadPeriods?: number | undefined;
  /** In rising order of quantity, with falling prices. */
  readonly priceBreaks?: readonly OrderPriceBreak[] | undefined;
  /** `all-units` when left out. */
  readonly breakRule?: 'all-units' | 'incremental' | undefined;
  /** First and last period in which an order may be placed. */
  readonly validFromPeriod?: number | undefined;
  readonly validUntilPeriod?: number | undefined;
  /** Last period in which it can arrive, and those in which it cannot. */
  readonly latestArrivalPeriod?: number | undefined;
  readonly blockedArrivalPeriods?: readonly number[] | undefined;
  /** Goods of the same group that arrive in the same period share its trips. */
  readonly tripGroupId?: string | undefined;
}

export interface PlanItemInput {
  readonly id: string;
  /** One value a period. */
  readonly demand: readonly number[];
  /** On hand before period 1; it has no age. */
  readonly openingStock?: number | undefined;
  /** On each unit left at the end of each period, the last included. */
  readonly holdingCostPerUnit: number;
  /** Periods after that of its arrival in which what is bought may still serve. */
  readonly shelfLifePeriods?: number | undefined;
  readonly offers: readonly PlanOffer[];
  /** Needed where an offer names a trip group. */
  readonly massKgPerUnit?: number | undefined;
  /** Place in a store that one unit takes at the end of a period. */
  readonly storageUse?: { readonly storageId: string; readonly perUnit: number } | undefined;
}

export interface TripGroup {
  readonly id: string;
  readonly costPerTrip: number;
  readonly payloadKg: number;
  readonly maximumTripsPerPeriod?: number | undefined;
}

export interface StorageClass {
  readonly id: string;
  /** One for all periods or one a period, in the unit of the items' `perUnit`. */
  readonly capacityUnits: number | readonly number[];
}

/** On order already, or a lot on hand that expires (arriving in period 1). */
export interface OpenReceipt {
  readonly itemId: string;
  readonly arrivesInPeriod: number;
  readonly quantity: number;
  /** Last period in which it may serve; by the shelf life of the item when left out. */
  readonly lastPeriod?: number | undefined;
}

/** An order of an earlier plan that should not change without need. */
export interface KeptOrder {
  readonly itemId: string;
  readonly supplierId: string;
  readonly offerId?: string | undefined;
  readonly placedInPeriod: number;
  readonly quantity: number;
}

export interface OrderPlanInput {
  readonly periodCount: number;
  readonly items: readonly PlanItemInput[];
  /** Most that may be spent in each period: orders by the period placed, trips by that of arrival. */
  readonly cashLimits?: readonly number[] | undefined;
  /** What is not spent in a period may be spent later. */
  readonly doesCashCarryOver?: boolean | undefined;
  readonly trips?: readonly TripGroup[] | undefined;
  readonly storage?: readonly StorageClass[] | undefined;
  readonly openReceipts?: readonly OpenReceipt[] | undefined;
  readonly keep?: readonly KeptOrder[] | undefined;
  /** Weighs changes against cost: for each order dropped or added, for each unit more or less. */
  readonly changePenalty?:
    | { readonly perOrder?: number | undefined; readonly perUnit?: number | undefined }
    | undefined;
  readonly timeLimitS?: number | undefined;
  /** The search may end when the plan is proved within this share of the best. */
  readonly gapRatio?: number | undefined;
}

export interface PlannedOrder {
  readonly itemId: string;
  readonly supplierId: string;
  readonly offerId?: string | undefined;
  readonly placedInPeriod: number;
  readonly arrivesInPeriod: number;
  readonly quantity: number;
  readonly packCount?: number | undefined;
  /** Goods and the cost of the order. */
  readonly cost: number;
}

export interface PlannedTrips {
  readonly tripGroupId: string;
  readonly arrivesInPeriod: number;
  readonly tripCount: number;
  readonly massKg: number;
  readonly cost: number;
}

export type ShortfallReason =
  | 'no-offer'
  | 'no-arrival-in-time'
  | 'shelf-life'
  | 'maximum-quantity'
  | 'cash'
  | 'trips'
  | 'storage'
  | 'joint-limits';

/** A need that cannot be met; or, with the reason `storage-overfull`, goods without a place. */
export interface Shortfall {
  readonly itemId: string;
  readonly period: number;
  readonly quantity: number;
  readonly reason: ShortfallReason | 'storage-overfull';
  readonly detail: string;
}

export interface PlanCosts {
  readonly goods: number;
  readonly ordering: number;
  readonly holding: number;
  readonly trips: number;
}

export interface OrderPlan {
  /**
   * `optimal`: proved to a millionth; `infeasible`: proved, see the shortfalls; `unsolved`: no plan
   * was found and none was proved impossible in the time given.
   */
  readonly status: 'optimal' | 'feasible' | 'infeasible' | 'unsolved';
  /** Orders, stock and trips; null without a plan. */
  readonly totalCost: number | null;
  readonly costs: PlanCosts | null;
  /** No plan has a lower total cost and cost of changes together; null without a plan. */
  readonly lowerBound: number | null;
  /** Penalty of what changed against `keep`; no part of the total cost. */
  readonly changeCost: number;
  readonly orders: readonly PlannedOrder[];
  readonly trips: readonly PlannedTrips[];
  readonly stockAtEnd: readonly {
    readonly itemId: string;
    readonly quantityPerPeriod: readonly number[];
  }[];
  readonly shortfalls: readonly Shortfall[];
  /** Parts without a common limit, solved apart; not exact when a part was too large for one model. */
  readonly decomposition: { readonly parts: number; readonly isExact: boolean };
}
