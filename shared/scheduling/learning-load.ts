import { learnedWorkDays } from './crew-learning.ts';
import type { SeasonNodes, StageNode } from './season-nodes.ts';

/** What crews that still learn have left for the work of practised ones. */
export interface LearningLoad {
  /**
   * Most weight of work days of practised crews that a crew does with a weight of work days in all.
   *
   * @param room weight of its work days
   * @param weightOf weight of a work day of a node; 0 for nodes that do not count
   */
  roomFor(crew: number, room: number, weightOf: (node: number) => number): number;
}

/** Stages of one build and one crew, and the crews that may do them. */
interface TankPart {
  readonly build: number;
  readonly nodes: readonly number[];
  readonly crews: readonly number[];
}

/**
 * How learning takes from the work that crews can do. A crew that begins m tanks does at least what its
 * k-th tank costs more, whichever part of whichever build it is, and with m tanks no more than m times
 * the most that there is to do on one:
 *
 *     practised work ≤ max over m of min( m·g_max, room − Σ_{k ≤ m} min over parts of extra(k) ).
 *
 * Tanks of which the crew has begun a stage count first.
 *
 * @returns null when every crew is practised from the start
 * @source learning-curve
 * @source resource-bounds own derivation of the bound above
 */
export function learningLoad(of: SeasonNodes): LearningLoad | null {
  const { season, nodes, ranges, crewsOf } = of;
  const parts: TankPart[] = [];
  for (const [build, { firstNode, endNode, sameAs }] of ranges.entries()) {
    if (sameAs !== build) continue;
    const byGroup = new Map<number, number[]>();
    for (let at = firstNode; at < endNode; at += 1) {
      const { group, isBegun } = nodes[at] as StageNode;
      if (isBegun) continue;
      byGroup.set(group, [...(byGroup.get(group) ?? []), at]);
    }
    for (const [group, own] of byGroup) {
      parts.push({ build, nodes: own, crews: crewsOf[group] as readonly number[] });
    }
  }
  const daysOf = season.crews.map(({ id, learning }) => {
    if (learning === null) return [];
    const begun = season.builds.filter(({ facts }) =>
      facts.some((fact) => fact.kind === 'begun' && (fact.crewId ?? id) === id),
    );
    const from = learning.tanksBuilt + begun.length + 1;
    const tanks = Math.max(0, learning.practisedAfterTanks - from);
    return Array.from(
      { length: Math.min(tanks, season.builds.length) },
      (_, at) => (workDays: number) => learnedWorkDays(workDays, from + at, learning),
    );
  });
  if (daysOf.every(({ length }) => length === 0)) return null;
  return {
    roomFor(crew, room, weightOf) {
      const learned = daysOf[crew] as readonly ((workDays: number) => number)[];
      if (learned.length === 0) return room;
      const own = parts.filter(({ crews }) => crews.includes(crew));
      const byBuild = new Map<number, number>();
      for (const { build, nodes: places } of own) {
        const work = places.reduce((sum, at) => sum + weightOf(at) * workDaysOf(of, at), 0);
        byBuild.set(build, (byBuild.get(build) ?? 0) + work);
      }
      const most = Math.max(0, ...byBuild.values());
      let extra = 0;
      let best = 0;
      for (const [at, days] of learned.entries()) {
        const least = own.map(({ nodes: places }) =>
          places.reduce((sum, node) => {
            const work = workDaysOf(of, node);
            return sum + weightOf(node) * (days(work) - work);
          }, 0),
        );
        extra += Math.min(...least);
        best = Math.max(best, Math.min((at + 1) * most, room - extra));
      }
      return Math.max(best, room - extra);
    },
  };
}

const workDaysOf = ({ nodes }: SeasonNodes, at: number): number =>
  (nodes[at] as StageNode).workDays;
