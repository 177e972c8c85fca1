import { EngineError, requireWithin } from '../errors.ts';
import type { BuildPlan } from './build-plan.ts';
import type { BuildSeason } from './build-season.ts';
import { type CompiledSeason, compileSeason } from './compiled-season.ts';
import { delayChain } from './delay-chain.ts';
import {
  deviationOf,
  type FinishForecast,
  finishForecast,
  meanOf,
  ratioBy,
  standardErrorOf,
} from './finish-forecast.ts';
import { replaySeason, type SeasonReplay } from './season-replay.ts';
import { type SeasonWeather, type WetDaySamples, wetDaySamples } from './wet-day-samples.ts';

export interface ForecastEffort {
  readonly samples: number;
  readonly seed: number;
  /** Days for which the chance is asked that all is finished before them. */
  readonly beforeDays?: readonly number[] | undefined;
  /** Samples replayed once more for each stage that rain blocks; 60 unless said otherwise, 0 for none. */
  readonly riskSamples?: number | undefined;
}

export interface StageRisk {
  readonly stageCode: string;
  /** Days by which the season would be finished sooner on average if rain did not stop this stage. */
  readonly delayDays: number;
  readonly delayStandardErrorDays: number;
  /** Share of samples in which the lateness of the season came through such a stage. */
  readonly criticalRatio: number;
}

export interface SeasonForecast {
  readonly samples: number;
  readonly season: FinishForecast;
  readonly villages: readonly ({ readonly villageId: string } & FinishForecast)[];
  /** Builds that the plan leaves out are none. */
  readonly builds: readonly ({
    readonly buildId: string;
    /** Chance that it is finished by its due day; null without one. */
    readonly inTimeRatio: number | null;
  } & FinishForecast)[];
  readonly before: readonly {
    readonly day: number;
    readonly ratio: number;
    readonly standardErrorRatio: number;
  }[];
  /** Standard error of the share of samples at P50 and P80: √(p(1 − p)/samples). */
  readonly p50StandardErrorRatio: number;
  readonly p80StandardErrorRatio: number;
  /** Stages that rain blocks, the greatest delay first. */
  readonly risks: readonly StageRisk[];
  /** Samples that run past the end of the recorded years, after which days are taken as dry. */
  readonly beyondRecordCount: number;
}

const MOST_SAMPLES = 100_000;
const RISK_SAMPLES = 60;

/**
 * When a plan will be finished under weather like that of the record: each sample of wet days is
 * replayed with the crews and the order of the plan, no stage before its planned start, stages that
 * rain blocks standing still on wet days.
 *
 * A stage's delay is the difference to a replay of the same sample in which rain does not stop it; the
 * critical ratio traces each sample back through waits, crews and equipment.
 *
 * @param plan of this season, as `planBuilds` gives it
 * @throws {EngineError} `out-of-range` naming the field; `missing-data` for a plan without a stage
 * @source wet-days
 * @source serial-generation
 */
export function forecastSeason(
  season: BuildSeason,
  plan: Pick<BuildPlan, 'stages' | 'figures'>,
  weather: SeasonWeather,
  effort: ForecastEffort,
): SeasonForecast {
  const { samples, seed, beforeDays = [], riskSamples = Math.min(RISK_SAMPLES, samples) } = effort;
  requireCount('samples', samples, 1, MOST_SAMPLES);
  requireCount('riskSamples', riskSamples, 0, samples);
  requireCount('seed', seed, -Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER);
  if (plan.stages.length === 0) {
    throw new EngineError('missing-data', 'plan.stages', 0, 'the plan has no stage');
  }
  const compiled = compileSeason(season);
  const replay = replaySeason(compiled, plan);
  const drawn = wetDaySamples(season, weather, seed);
  const plannedFinishDay = plan.figures.finishedDay;
  const plannedStart = plannedStarts(compiled, plan);
  const codes = codesBlockedByRain(season);
  const codeOf = stageCodes(compiled);
  const criticalCount = new Map([...codes].map((code) => [code, 0]));
  const finishes = season.builds.map(() => new Int32Array(samples));
  const last = new Int32Array(samples);
  let beyondRecordCount = 0;
  for (let sample = 0; sample < samples; sample += 1) {
    const days = finishDaysOf(replay, drawn, sample, plannedFinishDay);
    for (const [build, own] of finishes.entries()) own[sample] = days[build] as number;
    last[sample] = lastOf(days);
    if (drawn.coveredDays !== null && (last[sample] as number) > drawn.coveredDays) {
      beyondRecordCount += 1;
    }
    const chain = delayChain(compiled, replay.days, plannedStart, plannedFinishDay);
    for (const code of new Set(chain.map((at) => codeOf[at] as string))) {
      const count = criticalCount.get(code);
      if (count !== undefined) criticalCount.set(code, count + 1);
    }
  }
  const plannedDays = plannedFinishes(season, plan);
  const risks = [...codes]
    .map((stageCode) => {
      const saved = savedDays(season, plan, stageCode, drawn, last, riskSamples);
      return {
        stageCode,
        delayDays: meanOf(saved),
        delayStandardErrorDays: deviationOf(saved) / Math.sqrt(Math.max(1, riskSamples)),
        criticalRatio: (criticalCount.get(stageCode) as number) / samples,
      };
    })
    .sort((a, b) => b.delayDays - a.delayDays || b.criticalRatio - a.criticalRatio);
  return {
    samples,
    season: finishForecast(last, plannedFinishDay),
    villages: season.villages.flatMap(({ id: villageId }) => {
      const own = season.builds.flatMap((build, at) =>
        build.villageId === villageId && plannedDays[at] !== undefined ? [at] : [],
      );
      if (own.length === 0) return [];
      const days = Int32Array.from({ length: samples }, (_, sample) =>
        Math.max(...own.map((at) => finishes[at]?.[sample] as number)),
      );
      const planned = Math.max(...own.map((at) => plannedDays[at] as number));
      return [{ villageId, ...finishForecast(days, planned) }];
    }),
    builds: season.builds.flatMap(({ id: buildId, dueDay }, at) => {
      const planned = plannedDays[at];
      if (planned === undefined) return [];
      const days = finishes[at] as Int32Array;
      const inTimeRatio = dueDay === null ? null : ratioBy(days, dueDay);
      return [{ buildId, inTimeRatio, ...finishForecast(days, planned) }];
    }),
    before: beforeDays.map((day) => {
      const ratio = ratioBy(last, day);
      return { day, ratio, standardErrorRatio: standardErrorOf(ratio, samples) };
    }),
    p50StandardErrorRatio: standardErrorOf(0.5, samples),
    p80StandardErrorRatio: standardErrorOf(0.8, samples),
    risks,
    beyondRecordCount,
  };
}

function requireCount(name: string, value: number, low: number, high: number): void {
  requireWithin(name, value, low, high);
  if (!Number.isInteger(value)) {
    throw new EngineError('out-of-range', name, value, 'must be a whole number');
  }
}

/** Finishes in a sample, which is drawn longer until it covers them. */
function finishDaysOf(
  replay: SeasonReplay,
  drawn: WetDaySamples,
  sample: number,
  plannedFinishDay: number,
): Int32Array {
  let length = 2 * plannedFinishDay + 60;
  for (;;) {
    const days = replay.finishDays(drawn.wetDays(sample, length));
    if (lastOf(days) <= length) return days;
    length *= 2;
  }
}

const lastOf = (days: Int32Array): number => days.reduce((last, day) => Math.max(last, day), 0);

/** Days saved in the first samples when rain does not stop a stage. */
function savedDays(
  season: BuildSeason,
  plan: Pick<BuildPlan, 'stages' | 'figures'>,
  stageCode: string,
  drawn: WetDaySamples,
  last: Int32Array,
  count: number,
): Int32Array {
  if (count === 0) return new Int32Array(0);
  const templates = season.templates.map((template) => ({
    ...template,
    stages: template.stages.map((stage) =>
      stage.code === stageCode ? { ...stage, isBlockedByRain: false } : stage,
    ),
  }));
  const replay = replaySeason(compileSeason({ ...season, templates }), plan);
  return Int32Array.from({ length: count }, (_, sample) => {
    const days = finishDaysOf(replay, drawn, sample, plan.figures.finishedDay);
    return (last[sample] as number) - lastOf(days);
  });
}

function codesBlockedByRain({ templates }: BuildSeason): Set<string> {
  const blocked = templates.flatMap(({ stages }) =>
    stages.filter(({ isBlockedByRain }) => isBlockedByRain),
  );
  return new Set(blocked.map(({ code }) => code));
}

/** Code of the stage by activity. */
function stageCodes({ season, buildFirst }: CompiledSeason): string[] {
  const stagesOf = new Map(season.templates.map(({ id, stages }) => [id, stages]));
  const codes: string[] = [];
  for (const [at, { templateId }] of season.builds.entries()) {
    for (const [place, { code }] of (stagesOf.get(templateId) ?? []).entries()) {
      codes[(buildFirst[at] as number) + place] = code;
    }
  }
  return codes;
}

function plannedStarts(
  compiled: CompiledSeason,
  { stages }: Pick<BuildPlan, 'stages'>,
): Int32Array {
  const codes = stageCodes(compiled);
  const starts = new Map(
    stages.map(({ buildId, stageCode, startDay }) => [`${buildId}\n${stageCode}`, startDay]),
  );
  return Int32Array.from(codes, (code, at) => {
    const build = compiled.season.builds[compiled.buildOf[at] as number];
    return starts.get(`${build?.id}\n${code}`) ?? -1;
  });
}

/** By build; undefined for builds that the plan leaves out. */
function plannedFinishes(
  { builds }: BuildSeason,
  { stages }: Pick<BuildPlan, 'stages'>,
): (number | undefined)[] {
  const last = new Map<string, number>();
  for (const { buildId, finishDay } of stages) {
    last.set(buildId, Math.max(finishDay, last.get(buildId) ?? finishDay));
  }
  return builds.map(({ id }) => last.get(id));
}
