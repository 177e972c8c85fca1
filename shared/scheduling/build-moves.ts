import type { BuildDraft, CrewCluster } from './build-generator.ts';
import type { CompiledSeason } from './compiled-season.ts';
import type { SeededRandom } from './seeded-random.ts';

/** Changes the order of a cluster a little, on a trial copy of its keys. */
export type OrderMove = (cluster: CrewCluster, trial: BuildDraft) => void;

/** Longest days by which keys are shifted at random, and windows taken. Ours, from trials. */
const MOST_SHIFT_DAYS = 30;
const MOST_WINDOW_DAYS = 60;
const NOISE_DAYS = 5;

/**
 * Neighbours of an order: a build, or what is left of it from some stage on, earlier or later; two
 * builds exchanged; a build put where another is; the stages of a village within some days moved to
 * other days; single stages shaken; a trade of a build given to another crew of the cluster.
 *
 * @source serial-generation
 */
export function orderMoves(
  compiled: CompiledSeason,
  groupsOf: readonly (readonly number[])[],
  random: SeededRandom,
): OrderMove {
  const { buildUnitFrom, unitBuild, villageOf, buildFirst, season, groups } = compiled;
  const below = (count: number): number => Math.floor(random() * count);
  const anyBuild = ({ builds }: CrewCluster): number => builds[below(builds.length)] as number;
  const anyUnit = (build: number): number => {
    const first = buildUnitFrom[build] as number;
    return first + below((buildUnitFrom[build + 1] as number) - first);
  };
  const around = (days: number): number => (2 * random() - 1) * days;
  const village = (build: number) => villageOf[buildFirst[build] as number] as number;
  const unitsOf = (build: number) =>
    (buildUnitFrom[build + 1] as number) - (buildUnitFrom[build] as number);

  const shiftBuild: OrderMove = (cluster, { key }) => {
    const build = anyBuild(cluster);
    if (unitsOf(build) === 0) return;
    const from = random() < 0.4 ? (buildUnitFrom[build] as number) : anyUnit(build);
    const shift = around(MOST_SHIFT_DAYS * random());
    for (let unit = from; unit < (buildUnitFrom[build + 1] as number); unit += 1) {
      key[unit] = Math.max(0, (key[unit] as number) + shift);
    }
  };
  const shiftUnit: OrderMove = (cluster, { key }) => {
    const build = anyBuild(cluster);
    if (unitsOf(build) === 0) return;
    const unit = anyUnit(build);
    key[unit] = Math.max(0, (key[unit] as number) + around(MOST_SHIFT_DAYS * random()));
  };
  const exchange: OrderMove = (cluster, { key }) => {
    const [one, other] = [anyBuild(cluster), anyBuild(cluster)];
    if (unitsOf(one) !== unitsOf(other)) return;
    const first = buildUnitFrom[one] as number;
    const second = buildUnitFrom[other] as number;
    for (let at = 0; at < unitsOf(one); at += 1) {
      const was = key[first + at] as number;
      key[first + at] = key[second + at] as number;
      key[second + at] = was;
    }
  };
  const putBeside: OrderMove = (cluster, { key }) => {
    const [one, other] = [anyBuild(cluster), anyBuild(cluster)];
    if (unitsOf(one) !== unitsOf(other)) return;
    const shift = around(2);
    for (let at = 0; at < unitsOf(one); at += 1) {
      const beside = key[(buildUnitFrom[other] as number) + at] as number;
      key[(buildUnitFrom[one] as number) + at] = Math.max(0, beside + shift);
    }
  };
  const moveVisit: OrderMove = (cluster, { key }) => {
    const build = anyBuild(cluster);
    const target = anyBuild(cluster);
    if (unitsOf(build) === 0 || unitsOf(target) === 0) return;
    const from = key[anyUnit(build)] as number;
    const until = from + MOST_WINDOW_DAYS * random() ** 2;
    const isNear = random() < 0.5;
    const shift = isNear ? around(10) : (key[anyUnit(target)] as number) - from;
    const squeeze = random() < 0.3 ? 0.1 : 1;
    const own = village(build);
    for (const each of cluster.builds) {
      if (village(each) !== own) continue;
      for (
        let unit = buildUnitFrom[each] as number;
        unit < (buildUnitFrom[each + 1] as number);
        unit += 1
      ) {
        const day = key[unit] as number;
        if (day < from || day > until) continue;
        key[unit] = Math.max(0, from + shift + (day - from) * squeeze);
      }
    }
  };
  const shake: OrderMove = (cluster, { key }) => {
    const build = anyBuild(cluster);
    if (unitsOf(build) === 0) return;
    const from = key[anyUnit(build)] as number;
    const until = from + 20 * random();
    const noise = NOISE_DAYS * random();
    for (const each of cluster.builds) {
      for (
        let unit = buildUnitFrom[each] as number;
        unit < (buildUnitFrom[each + 1] as number);
        unit += 1
      ) {
        const day = key[unit] as number;
        if (day < from || day > until || random() < 0.5) continue;
        key[unit] = Math.max(0, day + around(noise));
      }
    }
  };
  const changeCrew: OrderMove = (cluster, { crewOf }) => {
    const build = anyBuild(cluster);
    const own = groupsOf[build] ?? [];
    const group = own[below(own.length)];
    if (group === undefined) return;
    const { heldCrew, crews } = groups[group] as CompiledSeason['groups'][number];
    const others = crews.filter((crew) => crew !== crewOf[group] && cluster.crews.includes(crew));
    if (heldCrew >= 0 || others.length === 0) return;
    const to = others[below(others.length)] as number;
    const { trade } = groups[group] as CompiledSeason['groups'][number];
    const isBlock = random() < 0.3;
    for (const each of isBlock ? cluster.builds : [build]) {
      if (village(each) !== village(build)) continue;
      for (const at of groupsOf[each] ?? []) {
        const its = groups[at] as CompiledSeason['groups'][number];
        if (its.trade !== trade || its.heldCrew >= 0 || !its.crews.includes(to)) continue;
        if (crewOf[at] === crewOf[group] || at === group) {
          if (at !== group) crewOf[at] = to;
        }
      }
    }
    crewOf[group] = to;
  };
  const isShared = season.crews.length > 1 && unitBuild.length > 0;
  return (cluster, trial) => {
    if (cluster.builds.length === 0) return;
    const draw = random();
    if (isShared && cluster.crews.length > 1 && draw < 0.2) changeCrew(cluster, trial);
    else if (draw < 0.35) shiftBuild(cluster, trial);
    else if (draw < 0.5) shiftUnit(cluster, trial);
    else if (draw < 0.6) exchange(cluster, trial);
    else if (draw < 0.68) putBeside(cluster, trial);
    else if (draw < 0.84) moveVisit(cluster, trial);
    else shake(cluster, trial);
  };
}
