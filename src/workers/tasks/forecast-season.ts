import type { BuildPlan } from '../../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../../shared/scheduling/build-season.ts';
import {
  type ForecastEffort,
  forecastSeason,
  type SeasonForecast,
} from '../../../shared/scheduling/season-forecast.ts';
import type { SeasonWeather } from '../../../shared/scheduling/wet-day-samples.ts';

export interface SeasonToForecast {
  readonly season: BuildSeason;
  readonly plan: Pick<BuildPlan, 'stages' | 'figures'>;
  readonly weather: SeasonWeather;
  readonly effort: ForecastEffort;
}

/** Replays a plan under samples of weather. */
export const forecastSeasonPlan = ({
  season,
  plan,
  weather,
  effort,
}: SeasonToForecast): SeasonForecast => forecastSeason(season, plan, weather, effort);
