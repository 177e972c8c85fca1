import { addDays, calendarDay, daysBetween } from '../../shared/units/calendar.ts';
import type { Random } from './seeded-random.ts';

/** Chance of a wet day after a dry one and after a wet one, and the gamma scale of its rain, by month. */
interface MonthClimate {
  readonly wetAfterDry: number;
  readonly wetAfterWet: number;
  readonly scaleMm: number;
}

const DRY: MonthClimate = { wetAfterDry: 0.03, wetAfterWet: 0.22, scaleMm: 7 };
const TURNING: MonthClimate = { wetAfterDry: 0.14, wetAfterWet: 0.45, scaleMm: 11 };
const WET: MonthClimate = { wetAfterDry: 0.32, wetAfterWet: 0.66, scaleMm: 15 };

/** An invented climate with one wet season, March to June, and a shorter one in October and November. */
const MONTHS: readonly MonthClimate[] = [
  DRY,
  TURNING,
  WET,
  WET,
  WET,
  TURNING,
  DRY,
  DRY,
  TURNING,
  WET,
  WET,
  TURNING,
];

const GAMMA_SHAPE = 0.75;

/** Daily rain in mm from a two-state chain of wet and dry days with gamma amounts, to a tenth. */
export function inventedDailyRain(
  random: Random,
  startsOn: string,
  endsOn: string,
  wetnessRatio: number,
): number[] {
  const rain: number[] = [];
  let wasWet = false;
  for (let day = 0; day <= daysBetween(startsOn, endsOn); day++) {
    const { month } = calendarDay(addDays(startsOn, day));
    const climate = MONTHS[month - 1] ?? DRY;
    const chance: number = wasWet ? climate.wetAfterWet : climate.wetAfterDry;
    wasWet = random.next() < chance;
    const amount = wasWet ? random.gamma(GAMMA_SHAPE, climate.scaleMm * wetnessRatio) : 0;
    rain.push(Math.round(amount * 10) / 10);
  }
  return rain;
}
