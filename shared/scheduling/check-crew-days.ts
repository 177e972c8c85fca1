import type { CrewMove } from './build-plan.ts';
import type { BuildSeason, SeasonCrew } from './build-season.ts';
import type { CheckedStage, ReportFault } from './checked-stage.ts';

/**
 * Holds the days of every crew and of the equipment against what there is: people at work, one village
 * a day, days on the road between villages, the moves as listed, units lent.
 *
 * @source season-rules the rules, not the method
 */
export function checkCrewDays(
  season: BuildSeason,
  stages: readonly CheckedStage[],
  moves: readonly CrewMove[],
  report: ReportFault,
): void {
  for (const crew of season.crews) {
    const own = stages.filter((one) => one.crew === crew && one.workedDays.length > 0);
    checkPeople(crew, own, report);
    checkVillages(season, crew, own, moves, report);
  }
  for (const { crewId } of moves) {
    if (season.crews.some(({ id }) => id === crewId)) continue;
    report('move', 'is a move of no crew of the season', { crewId });
  }
  for (const { id, units } of season.equipment) {
    const unitsOf = (one: CheckedStage) =>
      one.stage.equipment.reduce((sum, row) => sum + (row.equipmentId === id ? row.units : 0), 0);
    const own = stages.filter((one) => one.workedDays.length > 0 && unitsOf(one) > 0);
    const over = firstOver(own, units, unitsOf, heldDays);
    if (over === null) continue;
    const { one, day, used } = over;
    const at = {
      buildId: one.build.id,
      stageCode: one.stage.code,
      crewId: one.planned.crewId,
      day,
    };
    report('equipment', `${used} units of ${id} are needed and there are ${units}`, at);
  }
}

/** Every day from the start of a stage until its finish: what is lent stays beside it. */
const heldDays = ({ planned }: CheckedStage): number[] => {
  const start = planned.startDay ?? planned.finishDay;
  return Array.from({ length: Math.max(0, planned.finishDay - start) }, (_, at) => start + at);
};

const isPlanned = ({ planned }: CheckedStage) => planned.standing === 'planned';

function checkPeople(crew: SeasonCrew, own: readonly CheckedStage[], report: ReportFault): void {
  const over = firstOver(
    own,
    crew.people,
    ({ stage }) => stage.people,
    ({ workedDays }) => workedDays,
  );
  if (over === null) return;
  const { one, day, used } = over;
  const at = { buildId: one.build.id, stageCode: one.stage.code, crewId: crew.id, day };
  report('people', `${used} people are needed and the crew has ${crew.people}`, at);
}

/** First day on which stages need more than there is, one of them planned. */
function firstOver(
  stages: readonly CheckedStage[],
  most: number,
  need: (one: CheckedStage) => number,
  daysOf: (one: CheckedStage) => readonly number[],
): { one: CheckedStage; day: number; used: number } | null {
  const byDay = new Map<number, CheckedStage[]>();
  for (const one of stages) {
    for (const day of daysOf(one)) byDay.set(day, [...(byDay.get(day) ?? []), one]);
  }
  for (const [day, list] of [...byDay].sort(([a], [b]) => a - b)) {
    const used = list.reduce((sum, one) => sum + need(one), 0);
    const one = list.find(isPlanned);
    if (used > most && one !== undefined) return { one, day, used };
  }
  return null;
}

interface CrewDay {
  readonly day: number;
  readonly villageId: string;
  readonly one: CheckedStage;
}

function checkVillages(
  season: BuildSeason,
  crew: SeasonCrew,
  own: readonly CheckedStage[],
  moves: readonly CrewMove[],
  report: ReportFault,
): void {
  const days: CrewDay[] = own
    .flatMap((one) => one.workedDays.map((day) => ({ day, villageId: one.build.villageId, one })))
    .sort((a, b) => a.day - b.day);
  const at = (of: CrewDay) => ({
    buildId: of.one.build.id,
    stageCode: of.one.stage.code,
    crewId: crew.id,
    day: of.day,
  });
  const roadDays = (from: string, to: string): number => {
    const place = (id: string) => season.villages.findIndex((village) => village.id === id);
    return season.moveDays[place(from)]?.[place(to)] ?? 0;
  };
  const listed = moves
    .filter(({ crewId }) => crewId === crew.id)
    .sort((a, b) => a.fromDay - b.fromDay || a.untilDay - b.untilDay);
  const needed: { from: string; to: string; afterDay: number; next: CrewDay }[] = [];
  let before: CrewDay | null = null;
  // What a crew has begun says where it is; home does not.
  const home = own.every(isPlanned) ? crew.homeVillageId : null;
  for (const next of days) {
    const from: string = before?.villageId ?? home ?? next.villageId;
    if (from !== next.villageId) {
      const afterDay = before?.day ?? -1;
      if (before?.day === next.day) {
        report('one-village', `the crew is in ${from} on that day`, at(next));
      } else if (next.day - afterDay - 1 < roadDays(from, next.villageId)) {
        const detail = `${roadDays(from, next.villageId)} days on the road from ${from} do not fit after day ${afterDay}`;
        report('move', detail, at(next));
      }
      needed.push({ from, to: next.villageId, afterDay, next });
    }
    before = next;
  }
  for (const [place, { from, to, afterDay, next }] of needed.entries()) {
    const move = listed[place];
    const isIt =
      move !== undefined &&
      move.fromVillageId === from &&
      move.toVillageId === to &&
      move.fromDay > afterDay &&
      move.untilDay <= next.day;
    if (!isIt) report('move', `no move is listed from ${from} to ${to}`, at(next));
  }
  if (listed.length > needed.length) {
    report('move', `${listed.length} moves are listed and ${needed.length} made`, {
      crewId: crew.id,
    });
  }
}
