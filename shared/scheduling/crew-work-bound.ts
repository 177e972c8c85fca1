import { type CrewWorkDays, crewWorkDays } from './crew-work-days.ts';
import { type LearningLoad, learningLoad } from './learning-load.ts';
import { equipmentWork, type OwnWork, ownWork, personDays } from './own-work.ts';
import type { SeasonNodes, StageNode } from './season-nodes.ts';
import { type StageWindows, stageWindows } from './stage-windows.ts';
import { isTooManyParts, type TankPart, tankParts } from './tank-parts.ts';
import { NEVER } from './work-days.ts';

/** First and last days of work that are tried. Ours: time. */
const MOST_FIRST_DAYS = 24;
const MOST_LAST_DAYS = 160;
/** Days after which work that does not fit is taken never to fit. Ours. */
const MOST_DAYS = 8_000;

/**
 * Fewest days in which the crews can do their work: the least T for which, over all days a < b and
 * all weights w, the stages that start no sooner than a and are finished by b when all is finished by
 * T keep within what the crews do between a and b,
 *
 *     Σ w(people)·days ≤ Σ_crews v_w(people of the crew)·(days it can work in [a, b)).
 *
 * Windows are those of each build alone, so that T fails when they are broken. Begun stages count for
 * none: alone they may take more people than there are. What learning adds is taken off the days of
 * the crews, and each part of a tank goes to one crew whole. Units of equipment are packed like people.
 *
 * @param fromDay a day below which no plan is finished for other reasons
 * @source dual-feasible-functions
 * @source resource-bounds destructive: days are refused until one is not
 */
export function crewWorkBound(of: SeasonNodes, fromDay: number): number {
  const { season } = of;
  const work = [...ownWork(of), ...equipmentWork(of)];
  const days = crewWorkDays(of.season);
  const tanks = tanksOf(of);
  const isRefused = (finishDay: number): boolean => {
    const windows = stageWindows(of, finishDay);
    if (windows.broken !== null) return true;
    return work.some((own) => excess(of, own, windows, days, tanks) !== null);
  };
  if (work.length === 0 || !isRefused(fromDay)) return fromDay;
  // All people at work every day are no match for less than this.
  const people = season.crews.reduce((sum, crew) => sum + crew.people, 0);
  const ofAll = work.find(({ crews }) => crews.length > 0 && crews.length === season.crews.length);
  const all = ofAll?.nodes ?? [];
  const load = all.reduce((sum, at) => sum + personDays(of.nodes[at] as StageNode), 0);
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
  const days = crewWorkDays(of.season);
  const tanks = tanksOf(of);
  for (const own of ownWork({ ...of, crewsOf: windows.crewsOf })) {
    const found = excess(of, own, windows, days, tanks);
    if (found !== null) return found;
  }
  return null;
}

interface Tanks {
  readonly parts: readonly TankPart[];
  readonly learning: LearningLoad | null;
}

function tanksOf(of: SeasonNodes): Tanks {
  const parts = tankParts(of);
  return { parts, learning: learningLoad(of, parts) };
}

/** Nodes of which the work does not fit between some two days, or null. */
function excess(
  of: SeasonNodes,
  own: OwnWork,
  windows: StageWindows,
  days: CrewWorkDays,
  tanks: Tanks,
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
  const isOwn = new Set(own.nodes);
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
        const node = of.nodes[at] as StageNode;
        const size = sizeAt.get(own.sizeOf(node)) as number;
        work[size] = (work[size] as number) + node.workDays;
        isMore = true;
      }
      if (!isMore) continue;
      const left =
        own.crews.length === 0
          ? [days.anywhere(fromDay, untilDay)]
          : own.crews.map((crew) => days.of(crew, fromDay, untilDay));
      const weightsOf = (each: readonly number[]) => (at: number) => {
        if (!isOwn.has(at) || (earliestStartDay[at] as number) < fromDay) return 0;
        if ((latestFinishDay[at] as number) > untilDay) return 0;
        return each[sizeAt.get(own.sizeOf(of.nodes[at] as StageNode)) as number] as number;
      };
      if (isOverPacked(of, own, work, left, tanks, weightsOf)) {
        const taken = sorted.slice(0, next);
        return taken.filter((at) => (earliestStartDay[at] as number) >= fromDay);
      }
    }
  }
  return null;
}

/** Share of the room at which what learning takes is worth a look. Ours. */
const LEARNING_SHARE = 0.4;
/** Of the share below which u like tanks always go to c crews whole, u/(u + c). Ours. */
const WHOLE_SHARE = 0.9;

/** Whether some list of weights finds too much work, or the tightest does with whole tanks, learning. */
function isOverPacked(
  of: SeasonNodes,
  { crews, sizes, weights, worths }: OwnWork,
  work: Float64Array,
  left: readonly number[],
  { parts, learning }: Tanks,
  weightsOf: (each: readonly number[]) => (node: number) => number,
): boolean {
  let tightest = 0;
  let greatest = 0;
  const loadOfList = (list: number): number => {
    const each = weights[list]?.weights as readonly number[];
    let load = 0;
    for (let at = 0; at < sizes.length; at += 1) {
      load += (each[at] as number) * (work[at] as number);
    }
    return load;
  };
  for (let list = 0; list < weights.length; list += 1) {
    const worth = worths[list] as readonly number[];
    const load = loadOfList(list);
    let room = 0;
    for (let at = 0; at < left.length; at += 1) {
      room += (left[at] as number) * (worth[at] as number);
    }
    if (load > room) return true;
    if (load <= greatest * room) continue;
    greatest = load / room;
    tightest = list;
  }
  const whole = parts.reduce((sum, { count }) => sum + count, 0);
  const isClose = greatest >= WHOLE_SHARE * (whole / (whole + crews.length));
  if (crews.length === 0 || !(isClose || (learning !== null && greatest >= LEARNING_SHARE))) {
    return false;
  }
  // The first list is energy.
  return [0, tightest].some((list) => {
    const weightOf = weightsOf(weights[list]?.weights as readonly number[]);
    const worth = worths[list] as readonly number[];
    const rooms = left.map((days, at) => days * (worth[at] as number));
    const extras = crews.map((crew) => learning?.extrasOf(crew, weightOf) ?? []);
    if (isTooManyParts(of, parts, weightOf, rooms, extras)) return true;
    if (learning === null) return false;
    const practised = crews.map((crew, at) =>
      learning.roomFor(crew, rooms[at] as number, weightOf),
    );
    return loadOfList(list) > practised.reduce((sum, room) => sum + room, 0);
  });
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
