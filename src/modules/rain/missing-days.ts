import { addDays } from '../../../shared/units/calendar.ts';
import { DomainError } from '../../domain/errors.ts';

const MAX_LISTED = 1_000;

interface Gap {
  readonly firstIndex: number;
  dayCount: number;
}

/**
 * The refusal of a record with missing days that nobody declared. It names every gap, by its line
 * when the record came as a file, and the missing dates.
 *
 * @param lineOfDay line of each day, 0 for a day without one
 */
export function undeclaredGaps(
  series: { readonly startsOn: string; readonly dailyRainMm: readonly (number | null)[] },
  lineOfDay: readonly number[] | null,
): DomainError {
  const gaps: Gap[] = [];
  const missingOn: string[] = [];
  series.dailyRainMm.forEach((rainMm, index) => {
    if (rainMm !== null) return;
    missingOn.push(addDays(series.startsOn, index));
    const last = gaps.at(-1);
    if (last && last.firstIndex + last.dayCount === index) last.dayCount += 1;
    else gaps.push({ firstIndex: index, dayCount: 1 });
  });
  return new DomainError('rule-broken', {
    rule: 'missing-days-undeclared',
    detail: `${missingOn.length} days are missing. Fill them, or declare them with missingDaysDeclared: they then count as dry.`,
    errors: gaps.slice(0, MAX_LISTED).map((gap) => ({
      pointer: lineOfDay ? `/lines/${lineOf(gap, lineOfDay)}` : `/dailyRainMm/${gap.firstIndex}`,
      code: 'rain.missing-days',
      message: messageOf(gap, series.startsOn),
    })),
    extra: { missingDayCount: missingOn.length, missingOn: missingOn.slice(0, MAX_LISTED) },
  });
}

/** The line of the first missing day, or the first line after a gap without lines. */
function lineOf({ firstIndex, dayCount }: Gap, lineOfDay: readonly number[]): number {
  return lineOfDay[firstIndex] || lineOfDay[firstIndex + dayCount] || 0;
}

function messageOf({ firstIndex, dayCount }: Gap, startsOn: string): string {
  const from = addDays(startsOn, firstIndex);
  if (dayCount === 1) return `${from} is missing`;
  return `${from} to ${addDays(startsOn, firstIndex + dayCount - 1)} are missing, ${dayCount} days`;
}
