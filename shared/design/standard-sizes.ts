import { EngineError, requireWithin } from '../errors.ts';

/** A tank size that the programme could make its own. */
export interface CandidateSize {
  readonly id: string;
  readonly capacityL: number;
  /** Cost of one tank in whole minor units of the currency. */
  readonly unitCost: bigint;
}

/** Sites of one kind and the least capacity that serves each. */
export interface SizedSites {
  readonly id: string;
  readonly count: number;
  readonly leastCapacityL: number;
}

export interface StandardSizesInput {
  readonly candidates: readonly CandidateSize[];
  readonly sites: readonly SizedSites[];
  /** Most standard sizes to look at, 1 to 6. */
  readonly maxSizeCount: number;
  /** Cost of having one more size at all: design, approval, moulds; minor units, 0 by default. */
  readonly costPerSize?: bigint | undefined;
}

export interface ChosenSize {
  readonly id: string;
  readonly capacityL: number;
  readonly siteCount: number;
  readonly cost: bigint;
}

/** The least cost of tanks with at most so many sizes. */
export interface SizeChoice {
  /** Sizes allowed; fewer are chosen when more would make no tank cheaper. */
  readonly allowedSizeCount: number;
  /** Smallest first; each site gets the smallest that serves it. */
  readonly sizes: readonly ChosenSize[];
  readonly tankCost: bigint;
  readonly sizeCost: bigint;
  readonly totalCost: bigint;
  /**
   * What the last size allowed saves against one fewer, its own cost taken off: negative when it
   * costs more than it saves. Null for the first.
   */
  readonly saving: bigint | null;
}

export interface StandardSizes {
  /** For 1, 2, … sizes allowed; empty when no site can be served. */
  readonly choices: readonly SizeChoice[];
  /** The choice of least total cost, the fewest sizes of equals; null when no site can be served. */
  readonly best: SizeChoice | null;
  /** Sites that no candidate is large enough for. */
  readonly unservedSiteIds: readonly string[];
  /** Candidates that a larger one undercuts, and that no best choice needs. */
  readonly dominatedSizeIds: readonly string[];
}

export const MAX_STANDARD_SIZES = 6;

function requireCandidates(candidates: readonly CandidateSize[]): void {
  if (candidates.length === 0) {
    throw new EngineError('missing-data', 'candidates', 0, 'must hold at least one size');
  }
  const seen = new Set<string>();
  for (const [index, { id, capacityL, unitCost }] of candidates.entries()) {
    if (seen.has(id)) {
      throw new EngineError('inconsistent', `candidates[${index}].id`, id, 'must not be repeated');
    }
    seen.add(id);
    if (!(capacityL > 0 && Number.isFinite(capacityL))) {
      const limit = 'must be above 0';
      throw new EngineError('out-of-range', `candidates[${index}].capacityL`, capacityL, limit);
    }
    if (unitCost < 0n) {
      const limit = 'must not be negative';
      throw new EngineError('out-of-range', `candidates[${index}].unitCost`, `${unitCost}`, limit);
    }
  }
}

/** Candidates without those that a larger one undercuts: smallest first, each dearer than the last. */
function undominated(candidates: readonly CandidateSize[]): CandidateSize[] {
  const kept: CandidateSize[] = [];
  const largestFirst = candidates.toSorted(
    (a, b) => b.capacityL - a.capacityL || (a.unitCost < b.unitCost ? -1 : 1),
  );
  for (const candidate of largestFirst) {
    const larger = kept.at(-1);
    if (larger === undefined || candidate.unitCost < larger.unitCost) kept.push(candidate);
  }
  return kept.reverse();
}

interface Step {
  readonly cost: bigint;
  /** Index of the next smaller size chosen, −1 for none. */
  readonly smaller: number;
}

/**
 * The best set of at most k standard sizes for a programme, for every k.
 *
 * A larger tank serves wherever a smaller one does and costs more, so that a site takes the
 * smallest chosen size that serves it. With the sizes in order and N(j) sites that need at most
 * size j, the cheapest m sizes of which the largest is j cost
 *
 *   f(m, j) = min over i < j of f(m − 1, i) + c(j) · (N(j) − N(i)),   f(0, none) = 0
 *
 * and the answer is f(m, largest needed or above): every choice is compared, so that the result is
 * the optimum and not an estimate. Money is whole minor units, exact.
 *
 * @throws {EngineError} naming the candidate, site or count that is out of range
 * @source sadowski-1959
 */
export function standardSizes(input: StandardSizesInput): StandardSizes {
  const { candidates, sites, maxSizeCount, costPerSize = 0n } = input;
  requireWithin('maxSizeCount', maxSizeCount, 1, MAX_STANDARD_SIZES);
  if (!Number.isInteger(maxSizeCount)) {
    throw new EngineError('out-of-range', 'maxSizeCount', maxSizeCount, 'must be a whole number');
  }
  requireCandidates(candidates);
  const sizes = undominated(candidates);
  const kept = new Set(sizes.map(({ id }) => id));
  const dominatedSizeIds = candidates.map(({ id }) => id).filter((id) => !kept.has(id));
  const { needed, unservedSiteIds } = sitesBySize(sites, sizes);
  const largestNeeded = needed.findLastIndex((count) => count > 0n);
  if (largestNeeded < 0) return { choices: [], best: null, unservedSiteIds, dominatedSizeIds };

  const within = cumulative(needed);
  const layers = [firstLayer(sizes, within)];
  while (layers.length < maxSizeCount) {
    layers.push(nextLayer(sizes, within, layers.at(-1) ?? []));
  }
  const choices = choicesOf(sizes, within, layers, largestNeeded, costPerSize);
  const best = choices.reduce((a, b) => (b.totalCost < a.totalCost ? b : a));
  return { choices, best, unservedSiteIds, dominatedSizeIds };
}

function sitesBySize(sites: readonly SizedSites[], sizes: readonly CandidateSize[]) {
  const needed = sizes.map(() => 0n);
  const unservedSiteIds: string[] = [];
  for (const [index, { id, count, leastCapacityL }] of sites.entries()) {
    if (!Number.isSafeInteger(count) || count < 0) {
      const limit = 'must be a whole number from 0';
      throw new EngineError('out-of-range', `sites[${index}].count`, count, limit);
    }
    if (!(leastCapacityL >= 0)) {
      const limit = 'must not be negative';
      throw new EngineError(
        'out-of-range',
        `sites[${index}].leastCapacityL`,
        leastCapacityL,
        limit,
      );
    }
    const size = sizes.findIndex(({ capacityL }) => capacityL >= leastCapacityL);
    if (size < 0) unservedSiteIds.push(id);
    else needed[size] = (needed[size] ?? 0n) + BigInt(count);
  }
  return { needed, unservedSiteIds };
}

function cumulative(counts: readonly bigint[]): bigint[] {
  let sum = 0n;
  return counts.map((count) => {
    sum += count;
    return sum;
  });
}

const costOf = (sizes: readonly CandidateSize[], size: number): bigint =>
  sizes[size]?.unitCost ?? 0n;

const firstLayer = (sizes: readonly CandidateSize[], within: readonly bigint[]): Step[] =>
  sizes.map((_, size) => ({ cost: costOf(sizes, size) * (within[size] ?? 0n), smaller: -1 }));

function nextLayer(
  sizes: readonly CandidateSize[],
  within: readonly bigint[],
  before: readonly Step[],
): Step[] {
  return sizes.map((_, size) => {
    // No more sizes than before is a choice too.
    let best: Step = before[size] ?? { cost: 0n, smaller: -1 };
    for (let smaller = 0; smaller < size; smaller += 1) {
      const served = (within[size] ?? 0n) - (within[smaller] ?? 0n);
      const cost = (before[smaller]?.cost ?? 0n) + costOf(sizes, size) * served;
      if (cost < best.cost) best = { cost, smaller };
    }
    return best;
  });
}

function choicesOf(
  sizes: readonly CandidateSize[],
  within: readonly bigint[],
  layers: readonly (readonly Step[])[],
  largestNeeded: number,
  costPerSize: bigint,
): SizeChoice[] {
  const choices: SizeChoice[] = [];
  for (let allowed = 1; allowed <= layers.length; allowed += 1) {
    const chosen = traced(layers, allowed - 1, largestNeeded);
    const tankCost = layers[allowed - 1]?.[largestNeeded]?.cost ?? 0n;
    const sizeCost = costPerSize * BigInt(chosen.length);
    const totalCost = tankCost + sizeCost;
    const before = choices.at(-1);
    choices.push({
      allowedSizeCount: allowed,
      sizes: chosen.map((size, place) => {
        const below = chosen[place - 1];
        const served = (within[size] ?? 0n) - (below === undefined ? 0n : (within[below] ?? 0n));
        return {
          id: sizes[size]?.id ?? '',
          capacityL: sizes[size]?.capacityL ?? 0,
          siteCount: Number(served),
          cost: served * costOf(sizes, size),
        };
      }),
      tankCost,
      sizeCost,
      totalCost,
      saving: before === undefined ? null : before.totalCost - totalCost,
    });
  }
  return choices;
}

/** Sizes of a choice, smallest first, as indexes. */
function traced(layers: readonly (readonly Step[])[], last: number, largest: number): number[] {
  const chosen: number[] = [];
  let layer = last;
  let size = largest;
  while (size >= 0) {
    chosen.unshift(size);
    size = layers[layer]?.[size]?.smaller ?? -1;
    layer -= 1;
  }
  return chosen;
}
