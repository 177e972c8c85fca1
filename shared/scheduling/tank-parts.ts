import type { SeasonNodes, StageNode } from './season-nodes.ts';

/** Stages of one build that one crew does, as one of several builds has them. */
export interface TankPart {
  readonly build: number;
  /** Builds that have the same. */
  readonly count: number;
  readonly nodes: readonly number[];
  readonly crews: readonly number[];
}

/**
 * Parts of the builds that one crew each does; begun stages are left out.
 *
 * @source season-rules
 */
export function tankParts({ nodes, ranges, crewsOf }: SeasonNodes): TankPart[] {
  const countOf = new Map<number, number>();
  for (const { sameAs } of ranges) countOf.set(sameAs, (countOf.get(sameAs) ?? 0) + 1);
  const parts: TankPart[] = [];
  for (const [build, count] of countOf) {
    const { firstNode = 0, endNode = 0 } = ranges[build] ?? {};
    const byGroup = new Map<number, number[]>();
    for (let at = firstNode; at < endNode; at += 1) {
      const { group, isBegun } = nodes[at] as StageNode;
      if (isBegun) continue;
      byGroup.set(group, [...(byGroup.get(group) ?? []), at]);
    }
    for (const [group, own] of byGroup) {
      parts.push({ build, count, nodes: own, crews: crewsOf[group] as readonly number[] });
    }
  }
  return parts;
}

/** Weight of the work of a part. */
export const partLoad = (
  { nodes }: SeasonNodes,
  part: TankPart,
  weightOf: (node: number) => number,
): number =>
  part.nodes.reduce((sum, at) => sum + weightOf(at) * (nodes[at] as StageNode).workDays, 0);

/** Noise of sums of whole weights and days. */
const NOISE = 1e-9;

/**
 * Whether crews cannot share out the parts of at least some size, since each part goes to one of them
 * whole: with room_c in the days of crew c, extra_c(m) what learning adds to m tanks, and u parts of
 * weight γ or more,
 *
 *     Σ_c max{ m : m·γ + extra_c(m) ≤ room_c } < u.
 *
 * @param rooms by crew
 * @param extras by crew: what learning adds to the first 1, 2, … tanks; after its end no more
 * @source dual-feasible-functions thresholds of whole items
 */
export function isTooManyParts(
  of: SeasonNodes,
  parts: readonly TankPart[],
  weightOf: (node: number) => number,
  rooms: readonly number[],
  extras: readonly (readonly number[])[],
): boolean {
  const loads = parts.map((part) => ({ part, load: partLoad(of, part, weightOf) }));
  const some = loads.filter(({ load }) => load > 0);
  const partsOfBuild = new Map<number, number>();
  for (const { part } of some) {
    partsOfBuild.set(part.build, (partsOfBuild.get(part.build) ?? 0) + 1);
  }
  const most = Math.max(1, ...partsOfBuild.values());
  return [...new Set(some.map(({ load }) => load))].some((least) => {
    const needed = some.reduce((sum, one) => sum + (one.load >= least ? one.part.count : 0), 0);
    let held = 0;
    for (const [at, room] of rooms.entries()) {
      const extra = extras[at] ?? [];
      const added = (count: number) =>
        count === 0 ? 0 : (extra[Math.min(extra.length, Math.ceil(count / most)) - 1] ?? 0);
      let count = Math.floor(room / least + NOISE);
      while (count > 0 && count * least + added(count) > room + NOISE) count -= 1;
      held += count;
    }
    return held < needed;
  });
}
