import { crewRooms, groupLoads, groupsByBuild } from './build-assignment.ts';
import type { BuildDraft, BuildGenerator, CrewCluster } from './build-generator.ts';
import { orderMoves } from './build-moves.ts';
import {
  isBetter,
  type PlanScore,
  planScore,
  searchEnergy,
  unevenness,
} from './build-objective.ts';
import { type ClusterScore, clusterScore } from './build-score.ts';
import type { SeededRandom } from './seeded-random.ts';

/** A whole plan as the search holds it. */
export interface SearchState {
  readonly draft: BuildDraft;
  readonly clusters: readonly CrewCluster[];
  readonly scores: ClusterScore[];
}

export interface BuildSearch {
  /** Generates all clusters of a state anew. */
  generate(state: SearchState): void;
  score(state: SearchState): PlanScore;
  /** Generates one cluster by the keys of a trial and takes it over when that is worth less. */
  replace(
    state: SearchState,
    at: number,
    trial: BuildDraft,
    worth: (score: ClusterScore) => number,
  ): boolean;
  /** Tries neighbours until told to stop; keeps the best state seen in `best`. */
  improve(best: SearchState, isOver: () => boolean, onBetter: (score: PlanScore) => void): void;
}

/** Trials of the first round of cooling, and of each crew; every further round is longer. Ours. */
const FIRST_ROUND = 2_000;
const ROUND_PER_CLUSTER = 150;
const ROUND_GROWTH = 1.6;
const HOT_DAYS = 0.3;
const COLD_DAYS = 0.01;
const GIVE_CHANCE = 0.2;
const LAST_CLUSTER_CHANCE = 0.4;

/**
 * Search by simulated cooling over orders and crews: a neighbour is generated for the one or two
 * clusters that it changes, and taken when it is better or, the hotter the likelier, a little worse.
 *
 * @source cooling-search
 */
export function buildSearch(
  generator: BuildGenerator,
  random: SeededRandom,
  keepsEarlier: boolean,
  floorDay?: Int32Array,
): BuildSearch {
  const { compiled } = generator;
  const { buildFirst, buildUnitFrom, groups, unitFrom, unitActivity, villageOf } = compiled;
  const groupsOf = groupsByBuild(compiled);
  const loads = groupLoads(compiled);
  const rooms = crewRooms(compiled, 365);
  const move = orderMoves(compiled, groupsOf, random);
  const crewLoad = new Float64Array(rooms.length);

  const uneven = ({ crewOf }: BuildDraft): number => {
    crewLoad.fill(0);
    for (const [group, load] of loads.entries()) {
      const crew = crewOf[group] as number;
      if (crew >= 0) crewLoad[crew] = (crewLoad[crew] as number) + load;
    }
    return unevenness(crewLoad, rooms);
  };
  const generateOne = (cluster: CrewCluster, draft: BuildDraft): ClusterScore =>
    clusterScore(generator, cluster, draft, generator.forward(cluster, draft, floorDay));
  const score = ({ draft, scores }: SearchState): PlanScore => planScore(scores, uneven(draft));

  /** The order of a cluster is that of its starts. */
  const copy = (
    from: BuildDraft,
    to: BuildDraft,
    { builds }: CrewCluster,
    byStart: boolean,
  ): void => {
    for (const build of builds) {
      for (
        let unit = buildUnitFrom[build] as number;
        unit < (buildUnitFrom[build + 1] as number);
        unit += 1
      ) {
        to.key[unit] = byStart
          ? (from.startDay[unitActivity[unitFrom[unit] as number] as number] as number)
          : (from.key[unit] as number);
      }
      for (const group of groupsOf[build] ?? []) to.crewOf[group] = from.crewOf[group] as number;
      if (byStart) continue;
      for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
        to.startDay[at] = from.startDay[at] as number;
        to.finishDay[at] = from.finishDay[at] as number;
        to.days[at] = from.days[at] as number;
      }
    }
  };

  const canGive = (build: number, { crews }: CrewCluster): boolean =>
    (groupsOf[build] ?? []).every((group) => {
      const own = groups[group] as (typeof groups)[number];
      if (own.heldCrew >= 0) return crews.includes(own.heldCrew);
      return own.crews.some((crew) => crews.includes(crew));
    });
  const village = (build: number) => villageOf[buildFirst[build] as number] as number;

  /** Gives one build, or some of its village, to another cluster, beside what that has there. */
  const give = (from: CrewCluster, to: CrewCluster, trial: BuildDraft): number[] => {
    const first = from.builds[Math.floor(random() * from.builds.length)];
    if (first === undefined) return [];
    const isMany = random() < 0.1;
    const wanted = isMany ? 2 + Math.floor(random() * 6) : 1;
    const given = [
      first,
      ...from.builds.filter((b) => b !== first && village(b) === village(first)),
    ]
      .slice(0, wanted)
      .filter((build) => canGive(build, to));
    const beside = to.builds.filter((build) => village(build) === village(first));
    for (const build of given) {
      for (const group of groupsOf[build] ?? []) {
        const { heldCrew, crews } = groups[group] as (typeof groups)[number];
        const able = crews.filter((crew) => to.crews.includes(crew));
        trial.crewOf[group] =
          heldCrew >= 0 ? heldCrew : (able[Math.floor(random() * able.length)] as number);
      }
      const like =
        beside[Math.floor(random() * beside.length)] ??
        to.builds[Math.floor(random() * to.builds.length)];
      if (like === undefined || random() < 0.3) continue;
      const count = (buildUnitFrom[build + 1] as number) - (buildUnitFrom[build] as number);
      if (count !== (buildUnitFrom[like + 1] as number) - (buildUnitFrom[like] as number)) continue;
      for (let at = 0; at < count; at += 1) {
        const key = trial.key[(buildUnitFrom[like] as number) + at] as number;
        trial.key[(buildUnitFrom[build] as number) + at] = key + random() * 2;
      }
    }
    return given;
  };

  const improve: BuildSearch['improve'] = (best, isOver, onBetter) => {
    const clusters = best.clusters.map((cluster) => ({ ...cluster }));
    const current: SearchState = {
      draft: copied(best.draft),
      clusters,
      scores: best.scores.slice(),
    };
    const trial = copied(best.draft);
    let bestScore = score(best);
    const count = clusters.length;
    const pickCluster = (): number => {
      if (random() >= LAST_CLUSTER_CHANCE) return Math.floor(random() * count);
      let last = 0;
      for (let at = 1; at < count; at += 1) {
        const [own, most] = [current.scores[at], current.scores[last]] as [
          ClusterScore,
          ClusterScore,
        ];
        const isWorse =
          own.broken !== most.broken
            ? own.broken > most.broken
            : own.tardinessDays !== most.tardinessDays
              ? own.tardinessDays > most.tardinessDays
              : own.finishedDay > most.finishedDay;
        if (isWorse) last = at;
      }
      return last;
    };
    let length = FIRST_ROUND + ROUND_PER_CLUSTER * count;
    for (let round = 0; ; round += 1, length *= ROUND_GROWTH) {
      if (round > 0) {
        for (const [at, { builds }] of best.clusters.entries()) {
          (clusters[at] as CrewCluster).builds = builds;
          copy(best.draft, current.draft, { crews: [], builds }, false);
          current.scores[at] = best.scores[at] as ClusterScore;
        }
      }
      let energy = searchEnergy(current.scores, uneven(current.draft), keepsEarlier);
      for (let step = 0; step < length; step += 1) {
        if (isOver()) return;
        const heat = HOT_DAYS * (COLD_DAYS / HOT_DAYS) ** (step / length);
        const at = pickCluster();
        const cluster = clusters[at] as CrewCluster;
        copy(current.draft, trial, cluster, true);
        let other = -1;
        let changed: CrewCluster[] = [cluster];
        if (count > 1 && random() < GIVE_CHANCE) {
          other = Math.floor(random() * (count - 1));
          if (other >= at) other += 1;
          const to = clusters[other] as CrewCluster;
          copy(current.draft, trial, to, true);
          const given = new Set(give(cluster, to, trial));
          if (given.size === 0) continue;
          let left = cluster.builds.filter((build) => !given.has(build));
          let more = [...to.builds, ...given];
          if (random() < 0.4) {
            const back = give({ ...to }, cluster, trial).slice(0, 1);
            more = more.filter((build) => !back.includes(build));
            left = [...left, ...back];
          }
          changed = [
            { crews: cluster.crews, builds: left },
            { crews: to.crews, builds: more },
          ];
        } else move(cluster, trial);
        const wasOne = current.scores[at] as ClusterScore;
        const wasOther = current.scores[other];
        current.scores[at] = generateOne(changed[0] as CrewCluster, trial);
        if (other >= 0) current.scores[other] = generateOne(changed[1] as CrewCluster, trial);
        // Loads change with the crews alone.
        const level = uneven(merged(current.draft, trial, changed));
        const next = searchEnergy(current.scores, level, keepsEarlier);
        if (next > energy && random() >= Math.exp((energy - next) / heat)) {
          current.scores[at] = wasOne;
          if (other >= 0) current.scores[other] = wasOther as ClusterScore;
          continue;
        }
        energy = next;
        for (const [place, own] of changed.entries()) {
          (clusters[place === 0 ? at : other] as CrewCluster).builds = own.builds;
          copy(trial, current.draft, own, false);
        }
        const found = planScore(current.scores, level);
        if (!isBetter(found, bestScore, keepsEarlier)) continue;
        bestScore = found;
        for (const [place, { builds }] of clusters.entries()) {
          (best.clusters[place] as CrewCluster).builds = builds;
          best.scores[place] = current.scores[place] as ClusterScore;
        }
        best.draft.crewOf.set(current.draft.crewOf);
        best.draft.key.set(current.draft.key);
        best.draft.startDay.set(current.draft.startDay);
        best.draft.finishDay.set(current.draft.finishDay);
        best.draft.days.set(current.draft.days);
        onBetter(found);
      }
    }
  };
  const crews = new Int32Array(groups.length);
  const merged = (
    from: BuildDraft,
    trial: BuildDraft,
    changed: readonly CrewCluster[],
  ): BuildDraft => {
    crews.set(from.crewOf);
    for (const { builds } of changed) {
      for (const build of builds) {
        for (const group of groupsOf[build] ?? []) crews[group] = trial.crewOf[group] as number;
      }
    }
    return { ...trial, crewOf: crews };
  };
  return {
    generate(state) {
      for (const [at, cluster] of state.clusters.entries()) {
        state.scores[at] = generateOne(cluster, state.draft);
      }
    },
    score,
    replace(state, at, trial, worth) {
      const cluster = state.clusters[at] as CrewCluster;
      const found = generateOne(cluster, trial);
      if (worth(found) >= worth(state.scores[at] as ClusterScore)) return false;
      copy(trial, state.draft, cluster, false);
      state.scores[at] = found;
      return true;
    },
    improve,
  };
}

export function copied(draft: BuildDraft): BuildDraft {
  return {
    key: draft.key.slice(),
    crewOf: draft.crewOf.slice(),
    startDay: draft.startDay.slice(),
    finishDay: draft.finishDay.slice(),
    days: draft.days.slice(),
  };
}
