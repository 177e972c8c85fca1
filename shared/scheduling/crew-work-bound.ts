import { shortestWays } from './crew-calendars.ts';
import { isAtHand, mostWorkDays } from './most-work-days.ts';
import { type PackingWeights, packingWeights } from './packing-weights.ts';
import type { SeasonNodes, StageNode } from './season-nodes.ts';
import { type StageWindows, stageWindows } from './stage-windows.ts';
import { NEVER } from './work-days.ts';

/** Groups of crews whose own work is counted, and first and last days of it. Ours: time. */
const MOST_GROUPS = 24;
const MOST_FIRST_DAYS = 24;
const MOST_LAST_DAYS = 160;
/** Days after which work that does not fit is taken never to fit. Ours. */
const MOST_DAYS = 8_000;

/** Work that only the crews of a group can do. */
interface OwnWork {
  readonly crews: readonly number[];
  /** Places of nodes. */
  readonly nodes: readonly number[];
  readonly sizes: readonly number[];
  readonly weights: readonly PackingWeights[];
  /** By list of weights and crew of the group. */
  readonly worths: readonly (readonly number[])[];
}

/**
 * Fewest days in which the crews can do their work: the least T for which, over all days a < b and
 * all weights w, the stages that start no sooner than a and are finished by b when all is finished by
 * T keep within what the crews do between a and b,
 *
 *     Σ w(people)·days ≤ Σ_crews v_w(people of the crew)·(days it can work in [a, b)).
 *
 * Windows are those of each build alone, so that T fails when they are broken. Begun stages count for
 * none: alone they may take more people than there are. Learning only adds to the work.
 *
 * @param fromDay a day below which no plan is finished for other reasons
 * @source dual-feasible-functions
 * @source resource-bounds destructive: days are refused until one is not
 */
export function crewWorkBound(of: SeasonNodes, fromDay: number): number {
  const { season } = of;
  const work = ownWork(of);
  const days = crewDays(of);
  const isRefused = (finishDay: number): boolean => {
    const windows = stageWindows(of, finishDay);
    if (windows.broken !== null) return true;
    return work.some((own) => excess(of, own, windows, days) !== null);
  };
  if (work.length === 0 || !isRefused(fromDay)) return fromDay;
  // All people at work every day are no match for less than this.
  const people = season.crews.reduce((sum, crew) => sum + crew.people, 0);
  const all = work.flatMap((own) => (own.crews.length === season.crews.length ? own.nodes : []));
  const load = all.reduce((sum, at) => sum + loadOf(of.nodes[at] as StageNode), 0);
  let refused = Math.max(fromDay, Math.ceil(load / Math.max(1, people)) - 1);
  let step = 1;
  while (isRefused(refused + step)) {
    refused += step;
    // Work without end: crews that leave before it is done.
    if (step > MOST_DAYS) return refused + 1;
    step *= 2;
  }
  let open = refused + step;
  while (open - refused > 1) {
    const middle = (open + refused) >> 1;
    if (isRefused(middle)) refused = middle;
    else open = middle;
  }
  return open;
}

/**
 * Stages that cannot all be done within windows by the only crews that may do them, or null.
 *
 * @param windows not broken
 * @source dual-feasible-functions
 */
export function tooMuchWork(of: SeasonNodes, windows: StageWindows): readonly number[] | null {
  const days = crewDays(of);
  for (const own of ownWork({ ...of, crewsOf: windows.crewsOf })) {
    const found = excess(of, own, windows, days);
    if (found !== null) return found;
  }
  return null;
}

function ownWork({ season, nodes, crewsOf }: SeasonNodes): OwnWork[] {
  const counted = nodes.flatMap(({ group, isBegun }, at) =>
    isBegun || (crewsOf[group] ?? []).length === 0 ? [] : [at],
  );
  const crewsOfNode = (at: number) => crewsOf[(nodes[at] as StageNode).group] as readonly number[];
  const sets = new Map<string, readonly number[]>();
  const add = (crews: readonly number[]) => sets.set(crews.join(), crews);
  for (const at of counted) add(crewsOfNode(at));
  for (const one of [...sets.values()].slice(0, MOST_GROUPS)) {
    for (const other of [...sets.values()].slice(0, MOST_GROUPS)) {
      add([...new Set([...one, ...other])].sort((a, b) => a - b));
    }
  }
  const all = season.crews.map((_, at) => at);
  add(all);
  const found = [...sets.values()].map((crews) => {
    const own = counted.filter((at) => crewsOfNode(at).every((crew) => crews.includes(crew)));
    const load = own.reduce((sum, at) => sum + loadOf(nodes[at] as StageNode), 0);
    const people = crews.reduce((sum, crew) => sum + (season.crews[crew]?.people ?? 0), 0);
    return { crews, nodes: own, load: people === 0 ? 0 : load / people };
  });
  return found
    .filter(({ nodes: own }) => own.length > 0)
    .sort((a, b) => b.load - a.load)
    .slice(0, MOST_GROUPS)
    .map(({ crews, nodes: own }) => {
      const sizes = [...new Set(own.map((at) => (nodes[at] as StageNode).stage.people))];
      sizes.sort((a, b) => a - b);
      const people = crews.map((crew) => season.crews[crew]?.people ?? 0);
      const weights = packingWeights(sizes, people);
      const worths = weights.map(({ worth }) => people.map(worth));
      return { crews, nodes: own, sizes, weights, worths };
    });
}

const loadOf = ({ workDays, stage }: StageNode): number => workDays * stage.people;

/** Most work days of a crew by first and last day. */
type CrewDays = (crew: number, fromDay: number, untilDay: number) => number;

function crewDays({ season }: SeasonNodes): CrewDays {
  const ways = shortestWays(season.moveDays);
  const kept = new Map<string, Int32Array>();
  const isOpen = season.villages.map(({ isWorkingDay }) => {
    const week = isWorkingDay.slice(-7);
    return (day: number) =>
      (day < isWorkingDay.length
        ? isWorkingDay[day]
        : week[(day - isWorkingDay.length) % week.length]) === true;
  });
  return (at, fromDay, untilDay) => {
    const crew = season.crews[at];
    if (crew === undefined || untilDay <= fromDay) return 0;
    const absences = crew.absences.map((away) => `${away.fromDay}-${away.untilDay}`);
    const key = [fromDay, crew.fromDay, crew.untilDay, ...absences].join(' ');
    let most = kept.get(key);
    if (most === undefined || most.length <= untilDay - fromDay) {
      const worked = isOpen.map((works) => (day: number) => works(day) && isAtHand(crew, day));
      const length = Math.ceil((untilDay - fromDay + 1) * 1.5);
      most = mostWorkDays(worked, ways, fromDay, fromDay + length);
      kept.set(key, most);
    }
    return most[untilDay - fromDay] as number;
  };
}

/** Nodes of which the work does not fit between some two days, or null. */
function excess(
  of: SeasonNodes,
  own: OwnWork,
  windows: StageWindows,
  days: CrewDays,
): readonly number[] | null {
  const { earliestStartDay, latestFinishDay } = windows;
  const first = thinned(
    own.nodes.map((at) => earliestStartDay[at] as number),
    MOST_FIRST_DAYS,
    -1,
  );
  const last = thinned(
    own.nodes.map((at) => latestFinishDay[at] as number),
    MOST_LAST_DAYS,
    1,
  );
  const sorted = own.nodes.slice();
  sorted.sort((a, b) => (latestFinishDay[a] as number) - (latestFinishDay[b] as number));
  const sizeAt = new Map(own.sizes.map((size, at) => [size, at]));
  for (const fromDay of first) {
    const work = new Float64Array(own.sizes.length);
    let next = 0;
    for (const untilDay of last) {
      // Windows without end leave room for any work.
      if (untilDay > NEVER / 2) break;
      let isMore = false;
      for (; next < sorted.length; next += 1) {
        const at = sorted[next] as number;
        if ((latestFinishDay[at] as number) > untilDay) break;
        if ((earliestStartDay[at] as number) < fromDay) continue;
        const { workDays, stage } = of.nodes[at] as StageNode;
        const size = sizeAt.get(stage.people) as number;
        work[size] = (work[size] as number) + workDays;
        isMore = true;
      }
      if (!isMore) continue;
      const left = own.crews.map((crew) => days(crew, fromDay, untilDay));
      if (isOverPacked(own, work, left)) {
        const taken = sorted.slice(0, next);
        return taken.filter((at) => (earliestStartDay[at] as number) >= fromDay);
      }
    }
  }
  return null;
}

function isOverPacked(
  { weights, worths }: OwnWork,
  work: Float64Array,
  left: readonly number[],
): boolean {
  for (let list = 0; list < weights.length; list += 1) {
    const each = weights[list]?.weights as readonly number[];
    const worth = worths[list] as readonly number[];
    let room = 0;
    for (let at = 0; at < left.length; at += 1) {
      room += (left[at] as number) * (worth[at] as number);
    }
    for (let at = 0; at < each.length; at += 1) {
      room -= (each[at] as number) * (work[at] as number);
    }
    if (room < 0) return true;
  }
  return false;
}

/** At most so many of the days, in order; others are taken as the next one down (−1) or up (1). */
function thinned(days: readonly number[], most: number, side: -1 | 1): number[] {
  const all = [...new Set(days)].sort((a, b) => a - b);
  if (all.length <= most) return all;
  const step = (all.length - 1) / (most - 1);
  return Array.from({ length: most }, (_, at) => {
    const place = at * step;
    return all[side < 0 ? Math.floor(place) : Math.ceil(place)] as number;
  });
}
