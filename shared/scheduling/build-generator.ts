import { type CompiledSeason, STANDING } from './compiled-season.ts';
import { type CrewDays, crewDays } from './crew-days.ts';
import { learnedWorkDays } from './crew-learning.ts';

/** A plan in the making: who does what in which order, and the days that a pass made of it. */
export interface BuildDraft {
  /** By unit: the order of placing, on the scale of days. */
  readonly key: Float64Array;
  /** By group. */
  readonly crewOf: Int32Array;
  /** By activity; a done stage has its finish only. */
  readonly startDay: Int32Array;
  readonly finishDay: Int32Array;
  /** Work days, learning counted. */
  readonly days: Int32Array;
}

/** Crews with the builds that they alone work on. */
export interface CrewCluster {
  readonly crews: readonly number[];
  /** By their places in the season. */
  builds: readonly number[];
}

/** Serial generation of a season, cluster by cluster of crews; every pass counts as one schedule. */
export interface BuildGenerator {
  readonly compiled: CompiledSeason;
  readonly days: CrewDays;
  /** Clusters generated so far. */
  readonly passes: number;
  /**
   * Places all that a cluster works on.
   *
   * @param floorDay by activity: earliest start, where later than its own
   * @param isOneByOne a crew starts no build before all its stages of the one before are finished
   * @returns wishes broken: pins, ends of crews, greatest waits
   */
  forward(
    cluster: CrewCluster,
    draft: BuildDraft,
    floorDay?: Int32Array,
    isOneByOne?: boolean,
  ): number;
}

/** Rounds in which stages that must follow soon are shifted until all fit. Ours. */
const SHIFT_ROUNDS = 600;
const KEY_STEPS_A_DAY = 64;
const UNIT_PLACES = 2 ** 20;

/**
 * A draft without order: all groups with their held or first crew, facts filled in.
 *
 * @source serial-generation
 */
export function buildDraft(compiled: CompiledSeason): BuildDraft {
  const { activityCount, groups, standing, floorDay, unitBuild } = compiled;
  const draft: BuildDraft = {
    key: new Float64Array(unitBuild.length),
    crewOf: Int32Array.from(groups, ({ heldCrew, crews }) =>
      heldCrew >= 0 ? heldCrew : (crews[0] ?? -1),
    ),
    startDay: new Int32Array(activityCount).fill(-1),
    finishDay: new Int32Array(activityCount),
    days: compiled.workDays.slice(),
  };
  for (let activity = 0; activity < activityCount; activity += 1) {
    if (standing[activity] === STANDING.done) {
      draft.finishDay[activity] = floorDay[activity] as number;
    }
  }
  return draft;
}

/**
 * The serial scheme for crews that move: what is begun first, then pinned starts, then unit by unit in
 * the order of the keys, no stage before what it follows, each on the first day on which
 *
 *     start ≥ max(release, finish_i + minimum wait_i over stages i before it)
 *
 * and its crew has the people free in the village on every work day, its moves fit in before and
 * after, equipment is free and no rain blocks it. Stages bound by greatest waits are placed together:
 * the earlier one is shifted until the later one follows in time. A crew past its end goes on when
 * nothing else is left, and a pin that cannot hold gives way; both are counted as broken.
 *
 * @param wetDays by village: days on which stages that rain blocks stand still
 * @source serial-generation
 * @source learning-curve
 */
export function buildGenerator(
  compiled: CompiledSeason,
  wetDays?: readonly (Uint8Array | null)[],
): BuildGenerator {
  const { standing, workDays, pinnedDay, latestStartDay, predecessors, begunBy } = compiled;
  const { groupOf, buildFirst, buildOf, buildUnitFrom, unitFrom, unitActivity, unitOf } = compiled;
  const { crews } = compiled.season;
  const { from: rowFrom, other, minimumWaitDays, maximumWaitDays } = predecessors;
  const days = crewDays(compiled, wetDays);
  const isPinHeld = new Uint8Array(compiled.activityCount);
  const shiftedFloor = new Int32Array(compiled.activityCount);
  const order = new Float64Array(unitFrom.length);
  const tanksOf = new Int32Array(crews.length);
  const lastTankStart = new Int32Array(crews.length);
  const lastTankBuild = new Int32Array(crews.length);
  const currentBuild = new Int32Array(crews.length);
  const freeFrom = new Int32Array(crews.length);
  const lastFinish = new Int32Array(crews.length);
  let isOneByOne = false;
  const begunIn = new Int32Array(crews.length);
  const firstOfTank = new Int32Array(crews.length);
  const tankOf = new Map<number, { tank: number; floor: number }>();
  const hasPins = pinnedDay.some((day) => day >= 0);
  const hasBegun = standing.includes(STANDING.begun);
  let passes = 0;
  let broken = 0;
  let floors: Int32Array | undefined;
  let draft: BuildDraft = buildDraft(compiled);

  const crewFor = (activity: number): number => {
    const begun = begunBy[activity] as number;
    return begun >= 0 ? begun : (draft.crewOf[groupOf[activity] as number] as number);
  };

  const earliest = (activity: number): number => {
    let day = Math.max(compiled.floorDay[activity] as number, shiftedFloor[activity] as number);
    if (floors !== undefined) day = Math.max(day, floors[activity] as number);
    for (let row = rowFrom[activity] as number; row < (rowFrom[activity + 1] as number); row += 1) {
      const free =
        (draft.finishDay[other[row] as number] as number) + (minimumWaitDays[row] as number);
      if (free > day) day = free;
    }
    return day;
  };

  const startTank = (crew: number, build: number): { tank: number; floor: number } => {
    const at = crew * compiled.season.builds.length + build;
    const known = tankOf.get(at);
    if (known !== undefined) return known;
    tanksOf[crew] = (tanksOf[crew] as number) + 1;
    // Tanks begun on the same day count in the order of the builds.
    const isBackward = build < (lastTankBuild[crew] as number);
    const floor = (lastTankStart[crew] as number) + (isBackward ? 1 : 0);
    const started = { tank: tanksOf[crew] as number, floor };
    tankOf.set(at, started);
    return started;
  };

  const place = (activity: number): void => {
    const crew = crewFor(activity);
    let from = earliest(activity);
    if (isPinHeld[activity] === 1) {
      if (from <= (draft.startDay[activity] as number)) return;
      days.giveBack(
        activity,
        crew,
        draft.startDay[activity] as number,
        draft.days[activity] as number,
      );
      isPinHeld[activity] = 0;
    }
    const pinned = pinnedDay[activity] as number;
    if (pinned > from) from = pinned;
    let work = workDays[activity] as number;
    const learning = crews[crew]?.learning ?? null;
    let isFirst = false;
    if (learning !== null && standing[activity] === STANDING.planned) {
      const build = buildOf[activity] as number;
      const count = tanksOf[crew] as number;
      const { tank, floor } = startTank(crew, build);
      isFirst = count < (tanksOf[crew] as number);
      if (floor > from) from = floor;
      work = learnedWorkDays(work, learning.tanksBuilt + tank, learning);
    }
    if (isOneByOne && currentBuild[crew] !== buildOf[activity]) {
      currentBuild[crew] = buildOf[activity] as number;
      freeFrom[crew] = lastFinish[crew] as number;
    }
    if (isOneByOne) from = Math.max(from, freeFrom[crew] as number);
    let start = days.firstFit(activity, crew, from, work, false);
    if (start < 0) {
      start = days.firstFit(activity, crew, from, work, true);
      broken += 1;
    }
    days.take(activity, crew, start, work);
    draft.startDay[activity] = start;
    draft.days[activity] = work;
    draft.finishDay[activity] = days.finishOf(activity, crew, start, work);
    const finish = draft.finishDay[activity] as number;
    if (finish > (lastFinish[crew] as number)) lastFinish[crew] = finish;
    if (pinned >= 0 && start !== pinned) broken += 1;
    if (isFirst) {
      firstOfTank[crew] = activity;
      lastTankBuild[crew] = buildOf[activity] as number;
    }
    if (firstOfTank[crew] === activity) lastTankStart[crew] = start;
  };

  const latest = (activity: number, unit: number): number => {
    let day = latestStartDay[activity] as number;
    for (let row = rowFrom[activity] as number; row < (rowFrom[activity + 1] as number); row += 1) {
      if ((maximumWaitDays[row] as number) < 0) continue;
      const before = other[row] as number;
      if (unit >= 0 && unitOf[before] === unit) continue;
      day = Math.min(day, (draft.finishDay[before] as number) + (maximumWaitDays[row] as number));
    }
    return day;
  };

  /** Floor of the stage before that lets `activity` follow in time, written down; false: all in time. */
  const shift = (activity: number, unit: number): boolean => {
    for (let row = rowFrom[activity] as number; row < (rowFrom[activity + 1] as number); row += 1) {
      const before = other[row] as number;
      if ((maximumWaitDays[row] as number) < 0 || unitOf[before] !== unit) continue;
      const needed = (draft.startDay[activity] as number) - (maximumWaitDays[row] as number);
      if (needed <= (draft.finishDay[before] as number)) continue;
      if (isPinHeld[before] === 1) continue;
      const { workDay, workedBefore } = days.daysOf(before, crewFor(before));
      const last = workedBefore[needed - 1] as number;
      const first = last - (draft.days[before] as number) + 1;
      const day = first < 0 ? 0 : (workDay[first] as number);
      shiftedFloor[before] = Math.max((draft.startDay[before] as number) + 1, day);
      return true;
    }
    return false;
  };

  const placeUnit = (unit: number): void => {
    const first = unitFrom[unit] as number;
    const end = unitFrom[unit + 1] as number;
    if (end - first === 1) {
      const activity = unitActivity[first] as number;
      place(activity);
      if ((draft.startDay[activity] as number) > latest(activity, -1)) broken += 1;
      return;
    }
    const brokenBefore = broken;
    for (let round = 0; ; round += 1) {
      let placed = first;
      let isLate = false;
      while (placed < end && !isLate) {
        const activity = unitActivity[placed] as number;
        place(activity);
        placed += 1;
        isLate = round < SHIFT_ROUNDS && shift(activity, unit);
      }
      if (!isLate) break;
      broken = brokenBefore;
      for (let at = first; at < placed; at += 1) {
        const activity = unitActivity[at] as number;
        if (isPinHeld[activity] === 1) continue;
        const start = draft.startDay[activity] as number;
        days.giveBack(activity, crewFor(activity), start, draft.days[activity] as number);
      }
    }
    for (let at = first; at < end; at += 1) {
      const activity = unitActivity[at] as number;
      shiftedFloor[activity] = 0;
      if ((draft.startDay[activity] as number) > latest(activity, -1)) broken += 1;
    }
  };

  /** From day 0, whatever it takes: what is begun is there. A second village has to wait. */
  const placeBegun = (activity: number): void => {
    const crew = crewFor(activity);
    const village = compiled.villageOf[activity] as number;
    const work = workDays[activity] as number;
    const was = begunIn[crew] as number;
    begunIn[crew] = was < 0 ? village : was;
    days.leaveHome(crew);
    let start = 0;
    const fitting = days.firstFit(activity, crew, 0, work, false);
    if (fitting < 0) broken += 1;
    if (was >= 0 && was !== village) {
      start = fitting >= 0 ? fitting : days.firstFit(activity, crew, 0, work, true);
    }
    days.take(activity, crew, start, work);
    draft.startDay[activity] = start;
    draft.days[activity] = work;
    draft.finishDay[activity] = days.finishOf(activity, crew, start, work);
    if ((crews[crew]?.learning ?? null) === null) return;
    startTank(crew, buildOf[activity] as number);
    lastTankBuild[crew] = buildOf[activity] as number;
    lastTankStart[crew] = start;
  };

  const placeFacts = (builds: readonly number[]): void => {
    for (const build of builds) {
      const first = buildFirst[build] as number;
      const end = buildFirst[build + 1] as number;
      for (let activity = first; activity < end; activity += 1) {
        if (standing[activity] === STANDING.begun) placeBegun(activity);
      }
    }
  };

  const placePins = (builds: readonly number[]): void => {
    for (const build of builds) {
      for (
        let activity = buildFirst[build] as number;
        activity < (buildFirst[build + 1] as number);
        activity += 1
      ) {
        isPinHeld[activity] = 0;
        const start = pinnedDay[activity] as number;
        if (start < 0) continue;
        const crew = crewFor(activity);
        const work = workDays[activity] as number;
        // How long a stage takes a crew that still learns is known in its turn only.
        const isLearning = (crews[crew]?.learning ?? null) !== null;
        if (isLearning || days.firstFit(activity, crew, start, work, false) !== start) continue;
        days.take(activity, crew, start, work);
        isPinHeld[activity] = 1;
        draft.startDay[activity] = start;
        draft.days[activity] = work;
        draft.finishDay[activity] = days.finishOf(activity, crew, start, work);
      }
    }
  };

  return {
    compiled,
    days,
    get passes() {
      return passes;
    },
    forward(cluster, into, floorDay, oneByOne = false) {
      isOneByOne = oneByOne;
      if (isOneByOne) {
        currentBuild.fill(-1);
        freeFrom.fill(0);
        lastFinish.fill(0);
      }
      passes += 1;
      broken = 0;
      floors = floorDay;
      draft = into;
      days.reset(cluster.crews, true);
      if (compiled.hasLearning) {
        tankOf.clear();
        tanksOf.fill(0);
        lastTankStart.fill(0);
        lastTankBuild.fill(-1);
        firstOfTank.fill(-1);
      }
      if (hasBegun) {
        begunIn.fill(-1);
        placeFacts(cluster.builds);
      }
      if (hasPins) placePins(cluster.builds);
      const { key } = into;
      let count = 0;
      for (const build of cluster.builds) {
        for (
          let unit = buildUnitFrom[build] as number;
          unit < (buildUnitFrom[build + 1] as number);
          unit += 1
        ) {
          let own = key[unit] as number;
          for (let at = unitFrom[unit] as number; at < (unitFrom[unit + 1] as number); at += 1) {
            const activity = unitActivity[at] as number;
            for (
              let row = rowFrom[activity] as number;
              row < (rowFrom[activity + 1] as number);
              row += 1
            ) {
              const before = unitOf[other[row] as number] as number;
              if (before >= 0 && before !== unit && (key[before] as number) > own)
                own = key[before] as number;
            }
          }
          key[unit] = own;
          order[count++] = Math.floor(own * KEY_STEPS_A_DAY) * UNIT_PLACES + unit;
        }
      }
      const sorted = order.subarray(0, count).sort();
      for (let at = 0; at < count; at += 1) {
        const value = sorted[at] as number;
        placeUnit(value - Math.floor(value / UNIT_PLACES) * UNIT_PLACES);
      }
      return broken;
    },
  };
}
