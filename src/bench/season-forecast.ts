import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import type { BuildSeason } from '../../shared/scheduling/build-season.ts';
import { planBuilds } from '../../shared/scheduling/plan-builds.ts';
import { forecastSeason } from '../../shared/scheduling/season-forecast.ts';
import { seasonStages } from '../../shared/scheduling/season-stages.ts';
import type { SeasonWeather } from '../../shared/scheduling/wet-day-samples.ts';
import { printBenchLine } from './bench-line.ts';

const BUILDS = 120;
const VILLAGES = 20;
const CREW_PEOPLE = [9, 9, 10, 8, 9];
const SAMPLES = 1_000;
/** A few passes: the forecast takes as long whatever plan it replays. */
const SCHEDULES = 60;
const BASELINE_SAMPLES = 20;

/** Made up: villages with a market day each, five crews, rain stopping mortar and earth work. */
function madeSeason(): BuildSeason {
  const stages = seasonStages(BAMBOO_BAND_MORTAR_STAGES, 1, new Map()).map((stage) => ({
    ...stage,
    isBlockedByRain: /coat|slab|foot|paint/.test(stage.code),
  }));
  const villages = Array.from({ length: VILLAGES }, (_, village) => ({
    id: `village ${village}`,
    isWorkingDay: Array.from({ length: 7 }, (_, day) => day !== 6 && day !== village % 6),
  }));
  return {
    villages,
    crews: CREW_PEOPLE.map((people, at) => ({
      id: `crew ${at}`,
      people,
      trades: [],
      homeVillageId: null,
      fromDay: 0,
      untilDay: null,
      absences: [],
      learning: null,
    })),
    equipment: [],
    templates: [{ id: 'tank', stages }],
    builds: Array.from({ length: BUILDS }, (_, build) => ({
      id: `tank ${build}`,
      villageId: `village ${build % VILLAGES}`,
      templateId: 'tank',
      releaseDay: 0,
      dueDay: null,
      facts: [],
      pins: [],
      earlier: [],
    })),
    moveDays: villages.map((from) => villages.map((to) => (from === to ? 0 : 1))),
    rains: [],
  };
}

/** A thousand samples of weather for a season of 120 builds; baseline: each as a forecast of its own. */
export function benchSeasonForecast(): void {
  const season = madeSeason();
  const plan = planBuilds(season, { schedules: SCHEDULES, seed: 1 });
  const weather: SeasonWeather = {
    kind: 'chain',
    startsOn: '2026-06-01',
    stations: [
      {
        villageIds: season.villages.map(({ id }) => id),
        months: Array.from({ length: 12 }, () => ({
          wetAfterWetRatio: 0.5,
          wetAfterDryRatio: 0.2,
        })),
      },
    ],
  };
  const startedAtMs = performance.now();
  const effort = { samples: SAMPLES, seed: 1, riskSamples: 0 };
  const forecast = forecastSeason(season, plan, weather, effort);
  const seconds = (performance.now() - startedAtMs) / 1000;
  const riskAtMs = performance.now();
  const risked = forecastSeason(season, plan, weather, { samples: 60, seed: 1 });
  const riskSeconds = (performance.now() - riskAtMs) / 1000;
  const singleAtMs = performance.now();
  for (let seed = 0; seed < BASELINE_SAMPLES; seed += 1) {
    forecastSeason(season, plan, weather, { samples: 1, seed, riskSamples: 0 });
  }
  const single = (performance.now() - singleAtMs) / 1000 / BASELINE_SAMPLES;
  const { plannedDay, p50Day, p80Day } = forecast.season;
  const [risk] = risked.risks;
  printBenchLine({
    name: `season-forecast-${BUILDS}-builds`,
    value: seconds,
    unit: 's',
    baseline: single * SAMPLES,
    note: [
      `${SAMPLES} samples of ${plan.stages.length} stages, ${((1000 * seconds) / SAMPLES).toFixed(2)} ms each`,
      `planned day ${plannedDay}, P50 ${p50Day}, P80 ${p80Day}`,
      `${risked.risks.length} stages without rain, 60 samples each: ${riskSeconds.toFixed(1)} s, most delay ${risk?.delayDays.toFixed(1)} days by ${risk?.stageCode}`,
      'baseline: every sample as a forecast of its own, from 20',
    ].join('; '),
  });
}
