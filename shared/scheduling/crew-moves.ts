import type { CrewMove } from './build-plan.ts';
import type { BuildSeason } from './build-season.ts';

/**
 * Moves of a crew, the days of each just before its first work day in the next village.
 *
 * @param villageByDay place of its village on days with work, −1 on others
 * @param homeVillage where it stands before day 0, or −1
 * @source serial-generation
 */
export function crewMoves(
  { villages, moveDays }: Pick<BuildSeason, 'villages' | 'moveDays'>,
  crewId: string,
  villageByDay: Int16Array,
  untilDay: number,
  homeVillage: number,
): CrewMove[] {
  const moves: CrewMove[] = [];
  let from = homeVillage;
  let last = -1;
  for (let day = 0; day < untilDay; day += 1) {
    const to = villageByDay[day] as number;
    if (to < 0) continue;
    const afterDay = last;
    last = day;
    if (to === from) continue;
    const fromVillage = villages[from];
    const toVillage = villages[to];
    if (fromVillage !== undefined && toVillage !== undefined) {
      moves.push({
        crewId,
        fromVillageId: fromVillage.id,
        toVillageId: toVillage.id,
        fromDay: Math.max(afterDay + 1, day - (moveDays[from]?.[to] ?? 0)),
        untilDay: day,
      });
    }
    from = to;
  }
  return moves;
}
