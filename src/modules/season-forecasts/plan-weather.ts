import type { NewSeasonForecast } from '../../../shared/contract/season-forecast.ts';
import { fitWetDays } from '../../../shared/scheduling/fit-wet-days.ts';
import type { SeasonWeather } from '../../../shared/scheduling/wet-day-samples.ts';
import { addDays, calendarDay, daysBetween, isLeapYear } from '../../../shared/units/calendar.ts';
import { ruleBroken } from '../../domain/errors.ts';
import type { RainRecord, VillageWithStation } from './rain-repository.ts';

export interface PlanWeather {
  readonly weather: SeasonWeather;
  readonly years: readonly number[];
  readonly yearsLeftOut: readonly number[];
  readonly coveredDays: number | null;
}

export interface RainOfPlan {
  readonly startsOn: string;
  /** Days from the start that each year has to cover. */
  readonly windowDays: number;
  readonly wetDayMm: number;
  readonly records: readonly RainRecord[];
  readonly villages: readonly VillageWithStation[];
}

/**
 * The weather of a plan from the records of its stations.
 *
 * @throws {DomainError} `rule-broken` when no year is whole in every record
 * @throws {EngineError} `missing-data` when a record lacks a month of the year
 */
export function weatherOf(method: NewSeasonForecast['method'], rain: RainOfPlan): PlanWeather {
  return method === 'years' ? weatherOfYears(rain) : weatherOfChain(rain);
}

function weatherOfChain({ startsOn, wetDayMm, records, villages }: RainOfPlan): PlanWeather {
  const stations = records.map((record) => ({
    villageIds: villagesOf(record, villages),
    months: fitWetDays(record, wetDayMm).map(({ wetAfterWetRatio, wetAfterDryRatio }) => ({
      wetAfterWetRatio,
      wetAfterDryRatio,
    })),
  }));
  return {
    weather: { kind: 'chain', startsOn, stations },
    years: [],
    yearsLeftOut: [],
    coveredDays: null,
  };
}

function weatherOfYears(rain: RainOfPlan): PlanWeather {
  const { startsOn, windowDays, wetDayMm, records, villages } = rain;
  const touched = new Set(records.flatMap(yearsTouched));
  const inTurn = [...touched].toSorted((a, b) => a - b);
  const whole = inTurn.filter((year) =>
    records.every((record) => wetDaysOf(record, startsOn, year, windowDays, wetDayMm) !== null),
  );
  if (whole.length === 0) {
    const names = records.map(
      ({ stationCode, startsOn: from, endsOn }) => `${stationCode} (${from} to ${endsOn})`,
    );
    throw ruleBroken(
      'no-whole-year-of-rain',
      `No year has ${windowDays} days without a gap from ${startsOn.slice(5)} on at every station: ${names.join(', ')}. The method wet-day-chain needs none.`,
    );
  }
  const stations = records.map((record) => ({
    villageIds: villagesOf(record, villages),
    years: whole.map((year) => wetDaysOf(record, startsOn, year, windowDays, wetDayMm) ?? []),
  }));
  return {
    weather: { kind: 'years', stations },
    years: whole,
    yearsLeftOut: inTurn.filter((year) => !whole.includes(year)),
    coveredDays: windowDays,
  };
}

const villagesOf = ({ stationId }: RainRecord, villages: readonly VillageWithStation[]) =>
  villages.flatMap((village) => (village.stationId === stationId ? [village.villageId] : []));

function yearsTouched({ startsOn, endsOn }: RainRecord): number[] {
  const first = calendarDay(startsOn).year;
  const count = calendarDay(endsOn).year - first + 1;
  return Array.from({ length: count }, (_, at) => first + at);
}

/** Wet days from the season's calendar day of that year on; null where the record has not all of them. */
function wetDaysOf(
  record: RainRecord,
  startsOn: string,
  year: number,
  windowDays: number,
  wetDayMm: number,
): boolean[] | null {
  const from = daysBetween(record.startsOn, inYear(startsOn, year));
  if (from < 0 || from + windowDays > record.dailyRainMm.length) return null;
  const days = record.dailyRainMm.slice(from, from + windowDays);
  if (days.some((rainMm) => rainMm === null)) return null;
  return days.map((rainMm) => (rainMm ?? 0) >= wetDayMm);
}

/** The same day of another year; the last of February is one day sooner where it has no 29th. */
function inYear(isoDate: string, year: number): string {
  const moved = `${String(year).padStart(4, '0')}${isoDate.slice(4)}`;
  if (!isoDate.endsWith('-02-29') || isLeapYear(year)) return moved;
  return addDays(`${String(year).padStart(4, '0')}-03-01`, -1);
}
