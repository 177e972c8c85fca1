// geometry and structure

export { type BandLevelGrid, type BandLevelWall, bandLevelGrid } from './design/band-level-grid.ts';
export {
  BAND_END_CLEARANCE_M,
  type BandLevels,
  bestBandLevels,
  fewestBandLevels,
} from './design/band-level-search.ts';
export * from './design/check-tank.ts';
export type { DesignStop } from './design/design-trial.ts';
export * from './design/needed-capacity.ts';
export {
  NEIGHBOUR_CHANGES,
  type NeighbourChange,
  type NeighbourDesign,
} from './design/neighbour-designs.ts';
export {
  PROPOSAL_DEFAULTS,
  PROPOSAL_LIMITS,
  type SearchRange,
  type TankProposalInput,
} from './design/proposal-input.ts';
export * from './design/propose-tank.ts';
export * from './design/size-needs.ts';
export * from './design/standard-sizes.ts';
export {
  type BandPurchase,
  type MaterialPrice,
  type PurchasableBand,
  type TankCost,
  tankCost,
} from './design/tank-cost.ts';
export * from './design/tank-design-input.ts';
export * from './geometry/cylinder.ts';
export * from './geometry/spherical-cap.ts';
export * from './geometry/strip-grid.ts';
export * from './structure/bamboo-hoop.ts';
export * from './structure/band-choice.ts';
export * from './structure/band-corrosion.ts';
export * from './structure/band-distances.ts';
export * from './structure/band-levels.ts';
export * from './structure/band-loads.ts';
export * from './structure/band-stress.ts';
export * from './structure/bearing.ts';
export * from './structure/burst-hazard.ts';
export * from './structure/cautions.ts';
export * from './structure/check-result.ts';
export * from './structure/crack-limit.ts';
export * from './structure/cylinder-wall.ts';
export * from './structure/dome-buckling.ts';
export * from './structure/dome-membrane.ts';
export * from './structure/dome-point-load.ts';
export * from './structure/earthquake-load.ts';
export * from './structure/ferrocement-mesh.ts';
export * from './structure/field-soil-tests.ts';
export * from './structure/hydrostatic.ts';
export * from './structure/inspection-findings.ts';
export * from './structure/liquid-mass-model.ts';
export * from './structure/long-wall.ts';
export * from './structure/lost-band.ts';
export * from './structure/mortar-limits.ts';
export * from './structure/mortar-mix.ts';
export * from './structure/overflow-check.ts';
export * from './structure/overflow-outlet.ts';
export * from './structure/rain-pipe.ts';
export * from './structure/rain-pipe-size.ts';
export * from './structure/restrained-band-levels.ts';
export * from './structure/review-triggers.ts';
export * from './structure/slab-practice.ts';
export * from './structure/soil-bearing.ts';
export * from './structure/soils.ts';
export * from './structure/strip-bending.ts';
export * from './structure/tank-bands.ts';
export * from './structure/tank-dome.ts';
export * from './structure/tank-masses.ts';
export * from './structure/tank-stability.ts';
export * from './structure/vent.ts';
export * from './structure/vertical-span.ts';
export * from './structure/wall-coefficients.ts';
export * from './structure/wind-load.ts';

// hydrology

export * from './hydrology/demand.ts';
export * from './hydrology/disinfection-cautions.ts';
export * from './hydrology/disinfection-dose.ts';
export * from './hydrology/firm-yield.ts';
export * from './hydrology/first-flush.ts';
export * from './hydrology/functionality-rate.ts';
export * from './hydrology/lot-quality.ts';
export * from './hydrology/rainfall-series.ts';
export * from './hydrology/rainfall-statistics.ts';
export * from './hydrology/rainfall-time-step.ts';
export * from './hydrology/reliability.ts';
export * from './hydrology/roof-for-target.ts';
export * from './hydrology/roof-kinds.ts';
export * from './hydrology/runoff.ts';
export * from './hydrology/sanitary-inspection.ts';
export * from './hydrology/school-calendar.ts';
export * from './hydrology/sequent-peak.ts';
export * from './hydrology/service-indicators.ts';
export * from './hydrology/service-ladder.ts';
export * from './hydrology/steady-storage.ts';
export * from './hydrology/storage-balance.ts';
export * from './hydrology/storage-handbook.ts';
export * from './hydrology/storage-reliability.ts';
export {
  NAMED_OPERATING_RULES,
  type NamedOperatingRule,
  type OperatingRule,
  type Rationing,
  STORAGE_TIE_L,
  type StorageRun,
  spillageTheta,
} from './hydrology/storage-run.ts';
export * from './hydrology/storage-sizing.ts';
export * from './hydrology/storage-summary.ts';
export * from './hydrology/storage-target.ts';
export * from './hydrology/time-to-failure.ts';
export * from './hydrology/visit-sample.ts';
export * from './hydrology/water-quality.ts';
export * from './hydrology/watertightness.ts';
export * from './hydrology/watertightness-rate.ts';
export * from './hydrology/watertightness-standing.ts';
export * from './units/calendar.ts';

// take-off, costing, procurement, stages

export type { Contingency, ThreePointCost } from './costing/contingency.ts';
export { normalContingency, simulatedContingency } from './costing/contingency.ts';
export {
  type BuiltUpCost,
  builtUpCost,
  COST_KINDS,
  type CostBuildUp,
  type CostKind,
  type CostLine,
  type ExchangeRate,
  type LifeCycleTerms,
  priceMultiplier,
} from './costing/cost-build-up.ts';
export type {
  CostEntry,
  CostEstimate,
  CostRollUp,
  DatedRate,
  EstimateLine,
  UnpricedLine,
} from './costing/cost-estimate.ts';
export { estimateCost, rollUpCosts } from './costing/cost-estimate.ts';
export {
  COST_FACTOR_KINDS,
  type CostFactor,
  type CostFactorKind,
  type CostFactorRange,
  costFactors,
  type RangedFactor,
  rangedFactor,
  withFactor,
} from './costing/cost-factor.ts';
export {
  type CostSensitivity,
  type CostSensitivityInput,
  costSensitivity,
  DEFAULT_RANGE_RATIO,
  type FactorEffect,
  type FactorSensitivity,
  MAX_RANGE_RATIO,
} from './costing/cost-sensitivity.ts';
export { type CostSlopes, capitalRecoverySlope, costSlopes } from './costing/cost-slope.ts';
export { currencyCodes, currencyExponent } from './costing/currency.ts';
export type { PriceAdjustmentTerm } from './costing/escalation.ts';
export { escalatedPrice, priceAdjustmentFactor } from './costing/escalation.ts';
export { type GoodsPool, type GoodsStanding, goodsStanding } from './costing/goods-standing.ts';
export type { GrantAmount, GrantShare } from './costing/grant-share.ts';
export { availableBudget, requireNotDoubleFunded, splitOverGrants } from './costing/grant-share.ts';
export type { InKindEntry, InKindValue } from './costing/in-kind.ts';
export { inKindValue } from './costing/in-kind.ts';
export type { LifeCycleCost, LifeCycleInput, UnitCosts } from './costing/life-cycle.ts';
export { capitalRecoveryFactor, lifeCycleCost, unitCosts } from './costing/life-cycle.ts';
export {
  addMoney,
  allocateDecimal,
  allocateMoney,
  compareMoney,
  exchangeMoney,
  lineAmount,
  type Money,
  money,
  packUnitRate,
  subtractMoney,
  sumMoney,
  timesMoney,
  zeroMoney,
} from './costing/money.ts';
export type { Offer, OfferChoice, OfferNeed, OfferPrice, OfferRefusal } from './costing/offer.ts';
export { cheapestPacks, cheapestValidOffer, packsNeeded } from './costing/offer.ts';
export type { BreakFault, BreakRule, PackPricing, PriceBreak } from './costing/offer-amount.ts';
export { breakFaults, offerAmount, orderAmount, orderCostOf } from './costing/offer-amount.ts';
export type { BuildMaterial, BuildMaterialStanding } from './procurement/build-material.ts';
export { buildMaterialStanding } from './procurement/build-material.ts';
export { planCutting } from './procurement/cutting-plan.ts';
export type {
  CuttingInput,
  CuttingMethod,
  CuttingObjective,
  CuttingPattern,
  CuttingPiece,
  CuttingPlan,
  CuttingStock,
  LpOutcome,
  SolveLp,
} from './procurement/cutting-types.ts';
export {
  type DatedSupply,
  type ServedDemand,
  serveFirstExpiring,
} from './procurement/first-expiring.ts';
export type {
  InvoiceFinding,
  InvoiceFindingKind,
  MatchedAgainst,
  MatchedInvoice,
  MatchedInvoiceLine,
  MatchedOrderLine,
  MatchTolerance,
} from './procurement/invoice-match.ts';
export { matchInvoice } from './procurement/invoice-match.ts';
export type { LotAllocation, LotPart, StoredLot } from './procurement/lot-order.ts';
export { allocateLots, firstExpiringFirst, lotThatSuffices } from './procurement/lot-order.ts';
export {
  type LotSizing,
  type LotSizingInput,
  lotSizeOverWays,
  type ServedStretch,
  type SupplyWay,
  wagnerWhitin,
} from './procurement/lot-sizing.ts';
export type { LotFacts, LotRule, LotStanding, LotState } from './procurement/lot-standing.ts';
export { LOT_STATES, lotExpiresOn, lotStanding } from './procurement/lot-standing.ts';
export type { MilpModel, MilpOutcome, MilpSolver, SolveMilp } from './procurement/milp-model.ts';
export {
  type ExpiringLot,
  type LateRelease,
  type NettedRequirements,
  type NettingInput,
  type NettingRule,
  netRequirements,
} from './procurement/netting.ts';
export type {
  MaterialNeed,
  OrderLine,
  OrderProposal,
  UnservedNeed,
} from './procurement/order-aggregation.ts';
export { aggregateOrders } from './procurement/order-aggregation.ts';
export type {
  OrderCostLine,
  OrderCostLineStanding,
  OrderCostStanding,
} from './procurement/order-cost-standing.ts';
export { orderCostStanding, valueOfPart } from './procurement/order-cost-standing.ts';
export { planOrders } from './procurement/order-plan.ts';
export { checkOrderPlan, type PlanFault } from './procurement/order-plan-check.ts';
export { ORDER_PLAN_LIMITS } from './procurement/order-plan-limits.ts';
export type {
  KeptOrder,
  OpenReceipt,
  OrderPlan,
  OrderPlanInput,
  OrderPriceBreak,
  PlanCosts,
  PlanItemInput,
  PlannedOrder,
  PlannedTrips,
  PlanOffer,
  Shortfall,
  ShortfallReason,
  StorageClass,
  TripGroup,
} from './procurement/order-plan-types.ts';
export { packWorth } from './procurement/pack-worth.ts';
export {
  bestDiscountQuantity,
  type DiscountCandidate,
  type DiscountChoice,
  type DiscountInput,
  economicOrderQuantity,
  type UnitPriceBreak,
} from './procurement/quantity-discount.ts';
export type { ReceiptCount, ReceiptReconciliation } from './procurement/receipt.ts';
export { reconcileReceipt } from './procurement/receipt.ts';
export type {
  AllocatedStock,
  AvailableStock,
  PeriodNeed,
  StockAllocation,
} from './procurement/stock-allocation.ts';
export { allocateStock, sumNeeds } from './procurement/stock-allocation.ts';
export { type WholePackReceipt, wholePackReceipts } from './procurement/whole-pack-receipts.ts';
export { BAMBOO_BAND_MORTAR_STAGES } from './scheduling/bamboo-band-mortar-stages.ts';
export type { PlanScore } from './scheduling/build-objective.ts';
export type { BuildPlanCheck } from './scheduling/check-build-plan.ts';
export { checkBuildPlan } from './scheduling/check-build-plan.ts';
export type { PlannedStart, ScheduleCheck, ScheduleFault } from './scheduling/check-schedule.ts';
export { checkSchedule } from './scheduling/check-schedule.ts';
export type { BuildPlanFault } from './scheduling/checked-stage.ts';
export { type CompiledSeason, compileSeason } from './scheduling/compiled-season.ts';
export { type EarnedSchedule, earnedSchedule } from './scheduling/earned-schedule.ts';
export {
  type EarnedScheduleInWeeks,
  earnedScheduleInWeeks,
} from './scheduling/earned-schedule-weeks.ts';
export { type EarnedValue, type EarnedValueInput, earnedValue } from './scheduling/earned-value.ts';
export {
  type EarningRule,
  earnedAmount,
  earningParts,
  earningRuleFor,
} from './scheduling/earning-rule.ts';
export { orderedFacts } from './scheduling/fact-order.ts';
export type { FinishForecast } from './scheduling/finish-forecast.ts';
export { type FittedMonth, fitWetDays, type MonthOfWetDays } from './scheduling/fit-wet-days.ts';
export { justify, type ListedSchedule } from './scheduling/justification.ts';
export { type LatestStageDates, latestStageDates } from './scheduling/latest-stage-dates.ts';
export { type ListOrder, listOrder } from './scheduling/list-order.ts';
export {
  type CrewMoving,
  greatCircleKm,
  moveDays,
  type PlacePosition,
} from './scheduling/move-days.ts';
export { oneTankAfterAnother } from './scheduling/one-tank-after-another.ts';
export { type BuildEffort, planBuilds } from './scheduling/plan-builds.ts';
export {
  PROJECT_LIMITS,
  type ProjectNetwork,
  projectNetwork,
} from './scheduling/project-network.ts';
export type {
  ProjectActivity,
  ProjectCalendar,
  ProjectInput,
  ProjectRelation,
  ProjectResource,
  ResourceBooking,
} from './scheduling/project-types.ts';
export { type ScheduleBounds, scheduleBounds } from './scheduling/schedule-bounds.ts';
export type { ScheduleDays, ScheduleGenerator } from './scheduling/schedule-generator.ts';
export { scheduleDays, scheduleGenerator } from './scheduling/schedule-generator.ts';
export {
  type FoundSchedule,
  type SearchEffort,
  searchSchedule,
} from './scheduling/schedule-search.ts';
export { seasonBounds } from './scheduling/season-bounds.ts';
export {
  type ForecastEffort,
  forecastSeason,
  type SeasonForecast,
  type StageRisk,
} from './scheduling/season-forecast.ts';
export { planSeason, type SeasonPlan, type SeasonPlanInput } from './scheduling/season-plan.ts';
export { replaySeason, type SeasonReplay } from './scheduling/season-replay.ts';
export { seasonStages } from './scheduling/season-stages.ts';
export { type StageDates, stageDates } from './scheduling/stage-dates.ts';
export type { StageDecisions } from './scheduling/stage-decisions.ts';
export type {
  BrokenRule,
  DecisionFact,
  NonconformityDecision,
  StageFact,
  StageRule,
  UsedQuantity,
} from './scheduling/stage-facts.ts';
export { type StageHistory, stageHistories, stageStates } from './scheduling/stage-history.ts';
export type {
  DecisionTaken,
  NonConformity,
  NonConformityKind,
  NonConformityState,
} from './scheduling/stage-nonconformities.ts';
export { startObstacles } from './scheduling/stage-obstacles.ts';
export type { StageProgress, StageProjection } from './scheduling/stage-progress.ts';
export { projectStages } from './scheduling/stage-progress.ts';
export { refuseFact, refuseLateFact } from './scheduling/stage-rules.ts';
export type { CheckReading, StageState, StageStatus } from './scheduling/stage-state.ts';
export { isWithinLimits, stagesBefore } from './scheduling/stage-state.ts';
export { type StatusDays, stageStatusDays } from './scheduling/stage-status-days.ts';
export type {
  HoldPoint,
  Stage,
  StageCheck,
  StageRole,
  StageTemplate,
} from './scheduling/stage-template.ts';
export { requireStageTemplate, stagesForTank } from './scheduling/stage-template.ts';
export { completeRatio, stageWeights } from './scheduling/stage-weights.ts';
export {
  type CurveStep,
  curveDays,
  type ValueChange,
  valueCurve,
} from './scheduling/value-curve.ts';
export {
  type ValueStanding,
  type ValueSums,
  valueStanding,
} from './scheduling/value-standing.ts';
export { type WeatherDelay, type WetDays, weatherDelay } from './scheduling/weather-delay.ts';
export type { SeasonWeather } from './scheduling/wet-day-samples.ts';
export { wishConflicts } from './scheduling/wish-conflicts.ts';
export {
  isWorkingDay,
  shiftWorkingDays,
  type WorkingCalendar,
  workingDaysBetween,
} from './scheduling/working-calendar.ts';
export {
  borateSalts,
  culmWoodM3,
  flattenedBoardWidthM,
  piecesPerLength,
  stripHoop,
  stripsPerCulm,
  usableCulmLengthM,
} from './takeoff/bamboo.ts';
export { BAMBOO_BAND_MORTAR_RECIPE } from './takeoff/bamboo-band-mortar-recipe.ts';
export { bandCutLengthM, bandMassKgPerM } from './takeoff/bands.ts';
export type { BillQuantity, MaterialTotal } from './takeoff/bill-of-quantities.ts';
export { materialTotals, scaleBill, takeoffTank } from './takeoff/bill-of-quantities.ts';
export { CEMENT_TEST_AFTER_DAYS, cementStrengthLeftRatio } from './takeoff/cement-age.ts';
export { coatingL, coatMortarM3PerM2 } from './takeoff/coats.ts';
export { CONCRETE_MIXES, type ConcreteMixName, concreteMaterials } from './takeoff/concrete.ts';
export {
  crewDays,
  LABOUR_CONSTANTS,
  labourDays,
  learningCurveDays,
  learningFactor,
} from './takeoff/labour.ts';
export type { LearnedWaste, UsedMaterial, UsedTotals } from './takeoff/learned-waste.ts';
export {
  LEARNED_WASTE_FROM_BUILDS,
  learnedWaste,
  learnedWasteOfTotals,
} from './takeoff/learned-waste.ts';
export { BAMBOO_BAND_MORTAR_MATERIALS, type CatalogueMaterial } from './takeoff/materials.ts';
export { type MeasureName, type TankMeasures, tankMeasures } from './takeoff/measures.ts';
export {
  cementByVolumeRuleKgPerM3,
  dampSandM3,
  MORTAR_MIXES,
  type MortarMixName,
  mixingWaterL,
  mortarMaterials,
} from './takeoff/mortar.ts';
export {
  compareQuantities,
  type PackRounded,
  packRounded,
  type Quantity,
  scaleQuantity,
  subtractQuantities,
  sumQuantities,
  toQuantity,
  withWasteQuantity,
} from './takeoff/quantity.ts';
export type { RecipeWork, TakeoffRecipe, UnitCode } from './takeoff/recipe.ts';
export { type TakeoffGeometry, wallBandCount } from './takeoff/takeoff-geometry.ts';
export { gridCrossingCount, tieWireKg, wireMassKgPerM } from './takeoff/wire.ts';

// drawing

export { DRAWING_SCALES } from './drawing/drawing-scale.ts';
export {
  FITTING_KINDS,
  type Fitting,
  type FittingKind,
  proposedFittings,
} from './drawing/fittings.ts';
export { type DrawnSheet, tankDrawing } from './drawing/tank-drawing.ts';
export type {
  DrawingRecipe,
  DrawingTitle,
  TankDrawingInput,
} from './drawing/tank-drawing-input.ts';
