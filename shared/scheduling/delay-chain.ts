import type { CompiledSeason } from './compiled-season.ts';
import type { SeasonReplay } from './season-replay.ts';

/**
 * The activities through which the lateness of a replayed season came, last first: from the stage that
 * finishes last back to the one that held it, while stages start later than planned. Held by is the
 * stage before it with its wait, or the stage of the same crew or equipment that was finished last
 * before it, whichever ends later.
 *
 * @param plannedStart by activity, −1 where none is planned
 * @returns empty when the season is finished as planned or sooner
 * @source critical-path traced back through crews too, our own way
 */
export function delayChain(
  compiled: CompiledSeason,
  { startDay, finishDay, crewOf }: SeasonReplay['days'],
  plannedStart: Int32Array,
  plannedFinishDay: number,
): number[] {
  const { predecessors, groupOf, begunBy, villageOf, season } = compiled;
  const crewAt = (at: number): number =>
    (begunBy[at] as number) >= 0 ? (begunBy[at] as number) : (crewOf[groupOf[at] as number] ?? -1);
  const isPlaced = (at: number) => (startDay[at] as number) >= 0;
  let last = -1;
  for (let at = 0; at < finishDay.length; at += 1) {
    if (!isPlaced(at)) continue;
    if (last < 0 || (finishDay[at] as number) > (finishDay[last] as number)) last = at;
  }
  if (last < 0 || (finishDay[last] as number) <= plannedFinishDay) return [];
  const chain = [last];
  for (let at = last; (startDay[at] as number) > (plannedStart[at] as number); ) {
    const start = startDay[at] as number;
    let held = -1;
    let heldUntil = -1;
    const end = predecessors.from[at + 1] as number;
    for (let row = predecessors.from[at] as number; row < end; row += 1) {
      const before = predecessors.other[row] as number;
      const until = (finishDay[before] as number) + (predecessors.minimumWaitDays[row] as number);
      if (until <= heldUntil) continue;
      held = before;
      heldUntil = until;
    }
    for (let other = 0; other < finishDay.length; other += 1) {
      if (!isPlaced(other) || (finishDay[other] as number) > start) continue;
      const isCrew = crewAt(other) === crewAt(at) && crewAt(at) >= 0;
      if (!isCrew && !sharesEquipment(compiled, other, at)) continue;
      const road = isCrew
        ? (season.moveDays[villageOf[other] as number]?.[villageOf[at] as number] ?? 0)
        : 0;
      const until = (finishDay[other] as number) + road;
      if (until > start || until <= heldUntil) continue;
      held = other;
      heldUntil = until;
    }
    if (held < 0 || (startDay[held] as number) < 0) break;
    chain.push(held);
    at = held;
  }
  return chain;
}

function sharesEquipment(
  { equipmentFrom, equipmentAt }: CompiledSeason,
  one: number,
  other: number,
): boolean {
  for (let a = equipmentFrom[one] as number; a < (equipmentFrom[one + 1] as number); a += 1) {
    for (let b = equipmentFrom[other] as number; b < (equipmentFrom[other + 1] as number); b += 1) {
      if (equipmentAt[a] === equipmentAt[b]) return true;
    }
  }
  return false;
}
