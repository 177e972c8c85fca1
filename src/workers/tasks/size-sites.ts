import type { SizingCandidate, SizingRefusal } from '../../../shared/contract/site-sizing.ts';
import { EngineError } from '../../../shared/errors.ts';
import { dailyDemand } from '../../../shared/hydrology/demand.ts';
import { reliabilityByMonth } from '../../../shared/hydrology/reliability.ts';
import { ROOF_KIND_FACTS, type RoofKind } from '../../../shared/hydrology/roof-kinds.ts';
import { dailyInflow } from '../../../shared/hydrology/runoff.ts';
import { dryMonths } from '../../../shared/hydrology/service-indicators.ts';
import { simulateStorage } from '../../../shared/hydrology/storage-balance.ts';
import type { NamedOperatingRule } from '../../../shared/hydrology/storage-run.ts';
import { chooseStandardTank } from '../../../shared/hydrology/storage-sizing.ts';
import {
  presumptiveBearing,
  SOIL_CLASSES,
  type SoilClass,
} from '../../../shared/structure/soil-bearing.ts';

/** A month is dry when more than this share of its days was short of the demand. Ours. */
const DRY_MONTH_SHARE_RATIO = 0.5;
const DAYS_PER_YEAR = 365.25;
/** Days of runoff kept at a time: 64 MB. */
const MAX_KEPT_DAYS = 8_000_000;

export interface SizingRules {
  readonly targetReliabilityRatio: number;
  readonly litresPerPersonPerDay: number;
  readonly operatingRule: NamedOperatingRule;
  readonly firstFlushMm: number;
  readonly gutterEfficiencyRatio: number;
}

export interface StandardDesign {
  readonly designRevisionId: string;
  readonly capacityL: number;
  /** Full tank with its roof loaded. */
  readonly bearingPressurePa: number;
}

export interface SizingRain {
  readonly seriesId: string;
  readonly startsOn: string;
  /** Complete: gaps are filled or refused before. */
  readonly dailyRainMm: Float64Array;
}

export interface SizingSite {
  readonly siteId: string;
  readonly code: string;
  readonly seriesId: string | null;
  readonly roofAreaM2: number;
  readonly roofKind: string;
  readonly runoffCoefficient: number | null;
  readonly peopleServed: number;
  readonly litresPerPersonPerDay: number | null;
  readonly demandLPerDay: number | null;
  readonly groundClass: string | null;
}

export interface SizingBatch {
  readonly rules: SizingRules;
  readonly designs: readonly StandardDesign[];
  readonly rain: readonly SizingRain[];
  readonly sites: readonly SizingSite[];
}

export interface SizedSite {
  readonly siteId: string;
  readonly seriesId: string | null;
  readonly designRevisionId: string | null;
  readonly refusal: SizingRefusal | null;
  readonly demandLPerDay: number | null;
  readonly meanAnnualRunoffL: number | null;
  readonly volumetricReliabilityRatio: number | null;
  readonly daysMetRatio: number | null;
  readonly meanYieldLPerDay: number | null;
  readonly dryMonths: readonly number[];
  readonly candidates: readonly SizingCandidate[];
}

/** What the water of one roof and one demand says, before the ground has its word. */
interface WaterAnswer {
  readonly meanAnnualRunoffL: number;
  readonly isRoofTooSmall: boolean;
  readonly tanks: ReturnType<typeof chooseStandardTank>['evaluated'];
}

/**
 * Chooses for each site the smallest standard design that meets the target by its rain, roof and
 * people, and that its ground carries. Runoff is worked out once for equal roofs under one rain, and
 * storage once for equal demands on it.
 */
export function sizeSites({ rules, designs, rain, sites }: SizingBatch): SizedSite[] {
  const smallestFirst = designs.toSorted(
    (a, b) => a.capacityL - b.capacityL || (a.designRevisionId < b.designRevisionId ? -1 : 1),
  );
  const rainById = new Map(rain.map((series) => [series.seriesId, series]));
  const water = waterAnswers(rules, smallestFirst);
  return sites.map((site) => {
    const demandLPerDay =
      site.demandLPerDay ??
      dailyDemand([
        {
          people: site.peopleServed,
          litresPerPersonPerDay: site.litresPerPersonPerDay ?? rules.litresPerPersonPerDay,
        },
      ]);
    const series = site.seriesId === null ? undefined : rainById.get(site.seriesId);
    const base = { ...NOTHING, siteId: site.siteId, seriesId: series?.seriesId ?? null };
    if (smallestFirst.length === 0) return { ...base, refusal: 'no-standard-design' };
    if (demandLPerDay <= 0) return { ...base, refusal: 'no-demand' };
    if (series === undefined) return { ...base, demandLPerDay, refusal: 'no-rain-record' };
    const answer = water.answer(series, site, demandLPerDay);
    const judged = judge(site, smallestFirst, { ...base, demandLPerDay }, answer);
    if (judged.capacityL === null) return judged.sized;
    const dry = water.dryMonthsOf(series, site, demandLPerDay, judged.capacityL);
    return { ...judged.sized, dryMonths: dry };
  });
}

const NOTHING = {
  designRevisionId: null,
  refusal: null,
  demandLPerDay: null,
  meanAnnualRunoffL: null,
  volumetricReliabilityRatio: null,
  daysMetRatio: null,
  meanYieldLPerDay: null,
  dryMonths: [],
  candidates: [],
} as const;

/** The sizing, and the capacity of the chosen tank. */
function judge(
  site: SizingSite,
  designs: readonly StandardDesign[],
  base: SizedSite,
  water: WaterAnswer,
): { readonly sized: SizedSite; readonly capacityL: number | null } {
  const suits = groundCheck(site.groundClass);
  const candidates = water.tanks.map((tank, index): SizingCandidate => {
    const design = designs[index] as StandardDesign;
    return {
      designRevisionId: design.designRevisionId,
      capacityL: tank.capacityL,
      volumetricReliabilityRatio: tank.volumetricReliabilityRatio,
      daysMetRatio: tank.daysMetRatio,
      meetsTarget: tank.meetsTarget,
      suitsGround: suits(design.bearingPressurePa),
    };
  });
  const known = { ...base, meanAnnualRunoffL: water.meanAnnualRunoffL, candidates };
  const refused = (refusal: SizingRefusal) => ({ sized: { ...known, refusal }, capacityL: null });
  if (water.isRoofTooSmall) return refused('roof-too-small');
  if (!candidates.some((one) => one.meetsTarget)) return refused('target-not-reachable');
  if (candidates.every((one) => one.suitsGround === null)) return refused('ground-unknown');
  const chosen = candidates.findIndex((one) => one.meetsTarget && one.suitsGround);
  const tank = water.tanks[chosen];
  if (!tank) return refused('ground-not-suitable');
  return {
    capacityL: tank.capacityL,
    sized: {
      ...known,
      designRevisionId: tank.id,
      volumetricReliabilityRatio: tank.volumetricReliabilityRatio,
      daysMetRatio: tank.daysMetRatio,
      meanYieldLPerDay: tank.totalYieldL / (tank.daysMetCount + tank.deficitDayCount),
    },
  };
}

/** Whether ground of a class carries a pressure; null while the class is unknown. */
function groundCheck(groundClass: string | null): (pressurePa: number) => boolean | null {
  const isKnown = SOIL_CLASSES.includes(groundClass as SoilClass) && groundClass !== 'unknown';
  if (!isKnown) return () => null;
  const bearing = presumptiveBearing(groundClass as SoilClass);
  return (pressurePa) => bearing !== null && pressurePa <= bearing.bearingPa;
}

/** Answers by roof and demand; what is known of equal roofs and demands is not worked out again. */
function waterAnswers(rules: SizingRules, designs: readonly StandardDesign[]) {
  const { operatingRule, targetReliabilityRatio, firstFlushMm, gutterEfficiencyRatio } = rules;
  const standardTanks = designs.map(({ designRevisionId, capacityL }) => ({
    id: designRevisionId,
    capacityL,
  }));
  const inflows = new Map<string, Float64Array>();
  const answers = new Map<string, WaterAnswer>();
  const dryMonthsByTank = new Map<string, readonly number[]>();

  function inflowOf(series: SizingRain, site: SizingSite): Float64Array {
    const key = roofKeyOf(series, site);
    const known = inflows.get(key);
    if (known) return known;
    if (inflows.size * series.dailyRainMm.length > MAX_KEPT_DAYS) inflows.clear();
    const roof = {
      planAreaM2: site.roofAreaM2,
      runoffCoefficient: runoffCoefficientOf(site),
      gutterEfficiencyRatio,
    };
    const inflowL = dailyInflow({ roofs: [roof], dailyRainMm: series.dailyRainMm, firstFlushMm });
    inflows.set(key, inflowL);
    return inflowL;
  }

  function answer(series: SizingRain, site: SizingSite, demandLPerDay: number): WaterAnswer {
    const key = `${roofKeyOf(series, site)} ${demandLPerDay}`;
    const known = answers.get(key);
    if (known) return known;
    const dailyInflowL = inflowOf(series, site);
    const run = { dailyInflowL, demandLPerDay, operatingRule };
    const choice = chooseStandardTank({ ...run, standardTanks, targetReliabilityRatio });
    const found = {
      meanAnnualRunoffL: (choice.totalInflowL / dailyInflowL.length) * DAYS_PER_YEAR,
      isRoofTooSmall: choice.status === 'roof-too-small',
      tanks: choice.evaluated,
    };
    answers.set(key, found);
    return found;
  }

  function dryMonthsOf(
    series: SizingRain,
    site: SizingSite,
    demandLPerDay: number,
    capacityL: number,
  ): readonly number[] {
    const key = `${roofKeyOf(series, site)} ${demandLPerDay} ${capacityL}`;
    const known = dryMonthsByTank.get(key);
    if (known) return known;
    const dailyInflowL = inflowOf(series, site);
    const trace = simulateStorage({ dailyInflowL, demandLPerDay, operatingRule, capacityL });
    const found = dryMonths(reliabilityByMonth(trace, series.startsOn), DRY_MONTH_SHARE_RATIO)
      .filter(({ isDry }) => isDry)
      .map(({ month }) => month);
    dryMonthsByTank.set(key, found);
    return found;
  }

  return { answer, dryMonthsOf };
}

const roofKeyOf = ({ seriesId }: SizingRain, site: SizingSite) =>
  `${seriesId} ${site.roofAreaM2} ${runoffCoefficientOf(site)}`;

function runoffCoefficientOf({ code, roofKind, runoffCoefficient }: SizingSite): number {
  if (runoffCoefficient !== null) return runoffCoefficient;
  const facts = ROOF_KIND_FACTS[roofKind as RoofKind];
  if (facts) return facts.runoffCoefficient;
  const limit = `must be one of ${Object.keys(ROOF_KIND_FACTS).join(', ')}, or give a coefficient`;
  throw new EngineError('out-of-range', `${code}.roofKind`, roofKind, limit);
}
