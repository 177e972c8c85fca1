/** Whole weights by size: what fits side by side into one crew never weighs more than its worth. */
export interface PackingWeights {
  readonly weights: readonly number[];
  /** Most weight of stages side by side, by people of the crew. */
  worth(people: number): number;
}

/** Most lists of weights that are tried. Ours. */
const MOST_LISTS = 900;

/**
 * Weights for the sizes of stages, of which each gives a bound that no packing passes. For any
 * weights w_s ≥ 0 a crew of P people does at most
 *
 *     v(P) = max { Σ w_s·n_s : Σ s·n_s ≤ P, n_s whole }
 *
 * on one day, the dual of covering all work by whole patterns of stages; dual feasible functions are
 * the special case in which w_s/v(P) depends on s/P alone. Larger stages weigh no less, since a small
 * one fits wherever a large one does. All lists of small whole weights are given as far as they are
 * few, and always people themselves (energy), counts of large stages, and rounded shares
 * ⌊s·t/P⌋ of the crews.
 *
 * @param sizes people of stages, ascending, without repetition
 * @param crewPeople people of the crews
 * @source dual-feasible-functions
 */
export function packingWeights(
  sizes: readonly number[],
  crewPeople: readonly number[],
): PackingWeights[] {
  const lists = new Map<string, readonly number[]>();
  const add = (weights: readonly number[]) => {
    if (weights.some((weight) => weight > 0)) lists.set(weights.join(), weights);
  };
  add(sizes);
  for (const least of sizes) add(sizes.map((size) => (size >= least ? 1 : 0)));
  for (const people of new Set(crewPeople)) {
    for (let parts = 1; parts <= people; parts += 1) {
      add(sizes.map((size) => Math.floor((size * parts) / people)));
    }
  }
  let greatest = 1;
  while (greatest < 12 && risingListCount(sizes.length, greatest + 1) <= MOST_LISTS) greatest += 1;
  if (greatest > 1) addRising(sizes.length, greatest, [], add);
  return [...lists.values()].map((weights) => withWorth(sizes, weights));
}

/** Lists of whole numbers from 0 to `greatest` that never fall: combinations with repetition. */
function risingListCount(length: number, greatest: number): number {
  let count = 1;
  for (let at = 1; at <= length; at += 1) count = (count * (greatest + at)) / at;
  return count;
}

function addRising(
  length: number,
  greatest: number,
  begun: readonly number[],
  add: (weights: readonly number[]) => void,
): void {
  if (begun.length === length) {
    add(begun);
    return;
  }
  for (let weight = begun.at(-1) ?? 0; weight <= greatest; weight += 1) {
    addRising(length, greatest, [...begun, weight], add);
  }
}

function withWorth(sizes: readonly number[], weights: readonly number[]): PackingWeights {
  const best = [0];
  return {
    weights,
    worth(people) {
      for (let room = best.length; room <= people; room += 1) {
        let most = best[room - 1] as number;
        for (const [at, size] of sizes.entries()) {
          if (size > room) break;
          most = Math.max(most, (best[room - size] as number) + (weights[at] as number));
        }
        best.push(most);
      }
      return best[people] as number;
    },
  };
}
