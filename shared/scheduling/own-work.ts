import { type PackingWeights, packingWeights } from './packing-weights.ts';
import type { SeasonNodes, StageNode } from './season-nodes.ts';

/** Groups of crews whose own work is counted. Ours: time. */
const MOST_GROUPS = 24;

/** Work that only the crews of a group can do, or that needs equipment. */
export interface OwnWork {
  /** None for equipment, of which all units count as one crew that is always there. */
  readonly crews: readonly number[];
  /** Places of nodes. */
  readonly nodes: readonly number[];
  readonly sizes: readonly number[];
  /** People, or units of equipment. */
  sizeOf(node: StageNode): number;
  readonly weights: readonly PackingWeights[];
  /** By list of weights and crew of the group. */
  readonly worths: readonly (readonly number[])[];
}

/**
 * Work by the crews that alone may do it: those of each group of stages, of any two groups, and all.
 *
 * @returns the heaviest for its crews first
 * @source resource-bounds
 */
export function ownWork({ season, nodes, crewsOf }: SeasonNodes): OwnWork[] {
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
    const load = own.reduce((sum, at) => sum + personDays(nodes[at] as StageNode), 0);
    const people = crews.reduce((sum, crew) => sum + (season.crews[crew]?.people ?? 0), 0);
    return { crews, nodes: own, load: people === 0 ? 0 : load / people };
  });
  return found
    .filter(({ nodes: own }) => own.length > 0)
    .sort((a, b) => b.load - a.load)
    .slice(0, MOST_GROUPS)
    .map(({ crews, nodes: own }) => {
      const people = crews.map((crew) => season.crews[crew]?.people ?? 0);
      return packedWork(nodes, own, crews, people, ({ stage }) => stage.people);
    });
}

/**
 * Work that needs each kind of equipment: units side by side, for the days worked at the least.
 *
 * @source resource-bounds
 */
export function equipmentWork({ season, nodes }: SeasonNodes): OwnWork[] {
  return season.equipment.flatMap(({ id, units }) => {
    const sizeOf = ({ stage }: StageNode) =>
      stage.equipment.find(({ equipmentId }) => equipmentId === id)?.units ?? 0;
    const own = nodes.flatMap((node, at) => {
      const size = node.isBegun ? 0 : sizeOf(node);
      return size > 0 && size <= units ? [at] : [];
    });
    return own.length === 0 ? [] : [packedWork(nodes, own, [], [units], sizeOf)];
  });
}

function packedWork(
  nodes: readonly StageNode[],
  own: readonly number[],
  crews: readonly number[],
  capacities: readonly number[],
  sizeOf: (node: StageNode) => number,
): OwnWork {
  const sizes = [...new Set(own.map((at) => sizeOf(nodes[at] as StageNode)))];
  sizes.sort((a, b) => a - b);
  const weights = packingWeights(sizes, capacities);
  const worths = weights.map(({ worth }) => capacities.map(worth));
  return { crews, nodes: own, sizes, sizeOf, weights, worths };
}

/** Work of a stage at the least. */
export const personDays = ({ workDays, stage }: StageNode): number => workDays * stage.people;
