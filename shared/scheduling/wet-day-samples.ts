import { EngineError, requireWithin } from '../errors.ts';
import { addDays, calendarDay } from '../units/calendar.ts';
import type { BuildSeason } from './build-season.ts';
import type { MonthOfWetDays } from './fit-wet-days.ts';
import { seededRandom } from './seeded-random.ts';

/** Where wet days of a forecast come from. A village of no station stays dry. */
export type SeasonWeather =
  | {
      /** Whole years as recorded; all stations take the same one, so that stages share the weather. */
      readonly kind: 'years';
      readonly stations: readonly {
        readonly villageIds: readonly string[];
        /** By year: whether the days of the season were wet, from day 0. */
        readonly years: readonly (readonly boolean[])[];
      }[];
    }
  | {
      /** A wet or dry day after a wet or dry one, by month; all stations draw on the same numbers. */
      readonly kind: 'chain';
      /** ISO date of day 0. */
      readonly startsOn: string;
      readonly stations: readonly {
        readonly villageIds: readonly string[];
        /** January to December. */
        readonly months: readonly MonthOfWetDays[];
      }[];
    };

export interface WetDaySamples {
  /**
   * Wet days of a sample by village, 1 on wet ones. More days of the same sample begin with the same.
   */
  wetDays(sample: number, dayCount: number): (Uint8Array | null)[];
  /** Days that every year of the record covers; later ones are taken as dry. Null without end. */
  readonly coveredDays: number | null;
}

/** Steps between the seeds of samples: an odd number far from the step of the generator. */
const SEED_STEP = 0x9e3779b1;
const YEAR_MONTHS = 12;

/**
 * Samples of wet days for the villages of a season, the same again for the same seed.
 *
 * In a chain, day 0 is wet with the long-run share p₀₁/(1 + p₀₁ − p₁₁) of its month, and each later
 * day with the chance p₁₁ after a wet and p₀₁ after a dry day of its own month.
 *
 * @throws {EngineError} naming the field, such as `weather.stations[0].years`
 * @source wet-days
 * @source mulberry
 */
export function wetDaySamples(
  { villages }: Pick<BuildSeason, 'villages'>,
  weather: SeasonWeather,
  seed: number,
): WetDaySamples {
  const villageAt = new Map(villages.map(({ id }, at) => [id, at]));
  const stationOf = new Int32Array(villages.length).fill(-1);
  for (const [at, { villageIds }] of weather.stations.entries()) {
    for (const [row, id] of villageIds.entries()) {
      const village = villageAt.get(id);
      const field = `weather.stations[${at}].villageIds[${row}]`;
      if (village === undefined) {
        throw new EngineError('out-of-range', field, id, 'is not a village of the season');
      }
      if (stationOf[village] !== -1) {
        throw new EngineError('inconsistent', field, id, 'has another station too');
      }
      stationOf[village] = at;
    }
  }
  const randomOf = (sample: number) => seededRandom(Math.imul(sample + 1, SEED_STEP) ^ seed);
  const byVillage = (days: readonly Uint8Array[]) =>
    Array.from(stationOf, (station) => days[station] ?? null);
  if (weather.kind === 'years') {
    const { count, coveredDays } = requireYears(weather.stations);
    return {
      coveredDays,
      wetDays(sample, dayCount) {
        const year = Math.floor(randomOf(sample)() * count);
        return byVillage(
          weather.stations.map(({ years }) =>
            Uint8Array.from({ length: dayCount }, (_, day) => (years[year]?.[day] ? 1 : 0)),
          ),
        );
      },
    };
  }
  requireMonths(weather.stations);
  calendarDay(weather.startsOn, 'weather.startsOn');
  const monthOf: number[] = [];
  const reach = (dayCount: number): void => {
    for (let day = monthOf.length; day < dayCount; day += 1) {
      monthOf.push(calendarDay(addDays(weather.startsOn, day), 'startsOn').month - 1);
    }
  };
  return {
    coveredDays: null,
    wetDays(sample, dayCount) {
      reach(dayCount);
      const random = randomOf(sample);
      const days = weather.stations.map(() => new Uint8Array(dayCount));
      for (let day = 0; day < dayCount; day += 1) {
        const drawn = random();
        for (const [at, { months }] of weather.stations.entries()) {
          const own = days[at] as Uint8Array;
          const month = months[monthOf[day] as number] as MonthOfWetDays;
          const chance = day === 0 ? longRunRatio(month) : chanceAfter(month, own[day - 1] === 1);
          if (drawn < chance) own[day] = 1;
        }
      }
      return byVillage(days);
    },
  };
}

const chanceAfter = (month: MonthOfWetDays, isWet: boolean): number =>
  isWet ? month.wetAfterWetRatio : month.wetAfterDryRatio;

/** Every day wet after a wet one and none after a dry one: whichever began stays; dry is taken. */
function longRunRatio({ wetAfterWetRatio, wetAfterDryRatio }: MonthOfWetDays): number {
  const left = 1 + wetAfterDryRatio - wetAfterWetRatio;
  return left === 0 ? 0 : wetAfterDryRatio / left;
}

type Stations<Kind> = Extract<SeasonWeather, { kind: Kind }>['stations'];

function requireYears(stations: Stations<'years'>): { count: number; coveredDays: number | null } {
  const count = stations[0]?.years.length ?? 1;
  let coveredDays: number | null = null;
  for (const [at, { years }] of stations.entries()) {
    const field = `weather.stations[${at}].years`;
    if (years.length === 0) throw new EngineError('missing-data', field, 0, 'has no year');
    if (years.length !== count) {
      throw new EngineError('inconsistent', field, years.length, `must have ${count} years`);
    }
    for (const { length } of years) coveredDays = Math.min(coveredDays ?? length, length);
  }
  return { count, coveredDays };
}

function requireMonths(stations: Stations<'chain'>): void {
  for (const [at, { months }] of stations.entries()) {
    const field = `weather.stations[${at}].months`;
    if (months.length !== YEAR_MONTHS) {
      throw new EngineError('missing-data', field, months.length, 'must have 12 months');
    }
    for (const [month, { wetAfterWetRatio, wetAfterDryRatio }] of months.entries()) {
      requireWithin(`${field}[${month}].wetAfterWetRatio`, wetAfterWetRatio, 0, 1);
      requireWithin(`${field}[${month}].wetAfterDryRatio`, wetAfterDryRatio, 0, 1);
    }
  }
}
