import type { WorkSheetDay } from '../../../shared/contract/work-sheet.ts';
import { moveDays } from '../../../shared/scheduling/move-days.ts';
import { addDays, calendarDay, isoWeekday } from '../../../shared/units/calendar.ts';
import type { CrewOfSheet, StageOfSheet, VillageOfSheet } from './repository.ts';

/** Days after the week in which work may begin that the crew travels to during the week. */
const LOOKAHEAD_DAYS = 31;

type Villages = ReadonlyMap<string, VillageOfSheet>;
type Span = Pick<StageOfSheet, 'startsOn' | 'finishesOn'>;

/** Whether a stage is worked on a day: its first and last day always, between them working days. */
export function isWorkedOn(
  on: string,
  stage: Span,
  crew: CrewOfSheet,
  village: VillageOfSheet | undefined,
): boolean {
  if (on < stage.startsOn || on > stage.finishesOn) return false;
  if (on === stage.startsOn || on === stage.finishesOn) return true;
  if (restNote(on, crew) !== null) return false;
  if (village === undefined) return true;
  return (
    !village.noWorkWeekdays.includes(isoWeekday(on)) &&
    village.reachableMonths.includes(calendarDay(on).month)
  );
}

/** Why the crew works nowhere on a day; null when it may. */
export function restNote(on: string, crew: CrewOfSheet): WorkSheetDay['note'] {
  const { absences, availableFrom, availableUntil, workingWeekdays, holidays } = crew;
  if (!workingWeekdays.includes(isoWeekday(on)) || holidays.includes(on)) return 'no-work-day';
  const isAway =
    absences.some(({ fromOn, untilOn }) => fromOn <= on && on <= untilOn) ||
    (availableFrom !== null && on < availableFrom) ||
    (availableUntil !== null && on > availableUntil);
  return isAway ? 'crew-away' : null;
}

export interface Move {
  readonly fromVillageId: string;
  readonly toVillageId: string;
  /** Days on the road, both included; none when the move takes no day. */
  readonly fromOn: string;
  readonly untilOn: string;
}

/**
 * Moves that touch a week: the days just before the first work in another village, as many as the way
 * takes, but none on which the crew still worked.
 */
export function movesAround(
  weekStartsOn: string,
  weekEndsOn: string,
  crew: CrewOfSheet,
  stages: readonly StageOfSheet[],
  villages: Villages,
): Move[] {
  const moves: Move[] = [];
  let from = crew.homeVillageId;
  let workedUntil = '';
  for (const { on, villageId } of workedDays(addDays(weekEndsOn, LOOKAHEAD_DAYS), stages)) {
    if (from !== null && from !== villageId) {
      const days = moveDays(placeOf(villages, from), placeOf(villages, villageId), crew);
      const freeFrom = workedUntil === '' ? '' : addDays(workedUntil, 1);
      const move = {
        fromVillageId: from,
        toVillageId: villageId,
        fromOn: laterOf(addDays(on, -days), freeFrom),
        untilOn: addDays(on, -1),
      };
      const isSeen = move.untilOn >= weekStartsOn && move.fromOn <= weekEndsOn;
      if (isSeen && move.fromOn <= move.untilOn) moves.push(move);
    }
    from = villageId;
    workedUntil = on;
  }
  return moves;
}

/** First and last days of work in each village in turn, until a day, in order. */
function workedDays(untilOn: string, stages: readonly StageOfSheet[]) {
  const ends = stages.flatMap(({ startsOn, finishesOn, villageId }) => [
    { on: startsOn, villageId },
    { on: finishesOn, villageId },
  ]);
  return ends
    .filter(({ on }) => on <= untilOn)
    .toSorted((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0));
}

const laterOf = (one: string, other: string) => [one, other].toSorted().at(-1) ?? one;

function placeOf(villages: Villages, id: string) {
  const { latDeg = null, lonDeg = null } = villages.get(id) ?? {};
  return latDeg === null || lonDeg === null ? null : { latDeg, lonDeg };
}
