import { learnedWorkDays } from './crew-learning.ts';
import type { SeasonNodes, StageNode } from './season-nodes.ts';
import { partLoad, type TankPart } from './tank-parts.ts';

/** What crews that still learn have left for the work of practised ones. */
export interface LearningLoad {
  /** Weight that learning adds at least to the first 1, 2, … tanks of a crew; after its end no more. */
  extrasOf(crew: number, weightOf: (node: number) => number): readonly number[];
  /**
   * Most weight of work days of practised crews that a crew does with a weight of work days in all.
   *
   * @param room weight of its work days
   * @param weightOf weight of a work day of a node; 0 for nodes that do not count
   */
  roomFor(crew: number, room: number, weightOf: (node: number) => number): number;
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
export function learningLoad(of: SeasonNodes, parts: readonly TankPart[]): LearningLoad | null {
  const { season } = of;
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
  const extrasOf: LearningLoad['extrasOf'] = (crew, weightOf) => {
    const own = parts.filter(({ crews }) => crews.includes(crew));
    let extra = 0;
    return (daysOf[crew] ?? []).map((days) => {
      const least = own.map(({ nodes }) =>
        nodes.reduce((sum, node) => {
          const work = workDaysOf(of, node);
          return sum + weightOf(node) * (days(work) - work);
        }, 0),
      );
      extra += Math.min(...least);
      return extra;
    });
  };
  return {
    extrasOf,
    roomFor(crew, room, weightOf) {
      const extras = extrasOf(crew, weightOf);
      const byBuild = new Map<number, number>();
      for (const part of parts) {
        if (!part.crews.includes(crew)) continue;
        const load = partLoad(of, part, weightOf);
        byBuild.set(part.build, (byBuild.get(part.build) ?? 0) + load);
      }
      const most = Math.max(0, ...byBuild.values());
      return extras.reduce(
        (best, extra, at) => Math.max(best, Math.min((at + 1) * most, room - extra)),
        Math.max(0, room - (extras.at(-1) ?? 0)),
      );
    },
  };
}

const workDaysOf = ({ nodes }: SeasonNodes, at: number): number =>
  (nodes[at] as StageNode).workDays;
