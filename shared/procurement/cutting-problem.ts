import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import type { CuttingInput, CuttingObjective } from './cutting-types.ts';

/** Lengths are read to a thousandth of a millimetre. */
const THOUSANDTHS = 1000;
const MAX_PIECES = 10_000_000;

export interface CuttingItem {
  /** Length and kerf in units of the problem. */
  readonly size: number;
  readonly lengthThousandths: number;
  readonly demand: number;
  /** The pieces of this length, in the order given. */
  readonly pieces: readonly { readonly id: string; readonly count: number }[];
}

export interface CuttingBar {
  readonly id: string;
  /** Length and one kerf in units of the problem, rounded down. */
  readonly size: number;
  readonly lengthThousandths: number;
  readonly available: number;
  /** What one costs in the objective. */
  readonly weight: number;
}

/** A cut list in whole units: longest item first, every piece with its kerf. */
export interface CuttingProblem {
  readonly items: readonly CuttingItem[];
  readonly bars: readonly CuttingBar[];
  readonly kerfThousandths: number;
  readonly objective: CuttingObjective;
}

function thousandths(parameter: string, valueMm: number): number {
  const value = Math.round(valueMm * THOUSANDTHS);
  if (Math.abs(value - valueMm * THOUSANDTHS) > 1e-5) {
    throw new EngineError('out-of-range', parameter, valueMm, 'must have at most 3 decimals');
  }
  if (value > 1e9) {
    throw new EngineError('out-of-range', parameter, valueMm, 'must be at most 1,000,000 mm');
  }
  return value;
}

function requireCount(parameter: string, value: number, least: number): void {
  if (!Number.isSafeInteger(value) || value < least || value > MAX_PIECES) {
    throw new EngineError(
      'out-of-range',
      parameter,
      value,
      `must be a whole number from ${least} to ${MAX_PIECES}`,
    );
  }
}

function requireCost(parameter: string, cost: number): void {
  requirePositive({ [parameter]: cost });
  if (cost > 1e9 || Math.abs(cost * 1e6 - Math.round(cost * 1e6)) > 1e-9 * cost * 1e6) {
    throw new EngineError('out-of-range', parameter, cost, 'must be at most 1e9, with 6 decimals');
  }
}

function requireDistinct(parameter: string, ids: readonly string[]): void {
  const seen = new Set<string>();
  for (const id of ids) {
    if (seen.has(id)) throw new EngineError('inconsistent', parameter, id, 'occurs twice');
    seen.add(id);
  }
}

/**
 * Greatest common divisor of whole numbers.
 *
 * @source gilmore-gomory-1961
 */
export function commonDivisor(values: readonly number[]): number {
  return values.reduce((divisor, value) => {
    let [a, b] = [divisor, value];
    while (b !== 0) [a, b] = [b, a % b];
    return a;
  }, 0);
}

function objectiveOf(input: CuttingInput): CuttingObjective {
  const priced = input.stock.filter((stock) => stock.cost !== undefined).length;
  if (priced === 0) return input.stock.length === 1 ? 'count' : 'length';
  if (priced < input.stock.length) {
    const at = input.stock.findIndex((stock) => stock.cost === undefined);
    throw new EngineError(
      'missing-data',
      `stock[${at}].cost`,
      undefined,
      'give a cost for every stock or for none',
    );
  }
  return 'cost';
}

/**
 * A cut list in whole units. With a saw cut s between pieces, a piece takes l + s of a length of
 * L + s. Units are the common divisor of all pieces, so that models stay small.
 *
 * The objective is cost where costs are given, otherwise the number of lengths when there is one
 * stock, and the length of stock used when there are several.
 *
 * @throws {EngineError} naming the field, such as `pieces[2].lengthMm`
 * @source gilmore-gomory-1961
 */
export function cuttingProblem(input: CuttingInput): CuttingProblem {
  const kerfMm = input.kerfMm ?? 0;
  requireNotNegative({ kerfMm });
  if (input.stock.length === 0 || input.pieces.length === 0) {
    const field = input.stock.length === 0 ? 'stock' : 'pieces';
    throw new EngineError('missing-data', field, 0, 'must not be empty');
  }
  requireDistinct(
    'stock.id',
    input.stock.map((stock) => stock.id),
  );
  requireDistinct(
    'pieces.id',
    input.pieces.map((piece) => piece.id),
  );
  const objective = objectiveOf(input);
  const kerfThousandths = thousandths('kerfMm', kerfMm);

  const byLength = new Map<number, { id: string; count: number }[]>();
  for (const [index, { id, lengthMm, count }] of input.pieces.entries()) {
    requirePositive({ [`pieces[${index}].lengthMm`]: lengthMm });
    requireCount(`pieces[${index}].count`, count, 1);
    const length = thousandths(`pieces[${index}].lengthMm`, lengthMm);
    byLength.set(length, [...(byLength.get(length) ?? []), { id, count }]);
  }
  const unit = commonDivisor([...byLength.keys()].map((length) => length + kerfThousandths));
  const items = [...byLength]
    .sort(([a], [b]) => b - a)
    .map(
      ([lengthThousandths, pieces]): CuttingItem => ({
        size: (lengthThousandths + kerfThousandths) / unit,
        lengthThousandths,
        demand: pieces.reduce((sum, piece) => sum + piece.count, 0),
        pieces,
      }),
    );
  const bars = input.stock.map((stock, index): CuttingBar => {
    requirePositive({ [`stock[${index}].lengthMm`]: stock.lengthMm });
    if (stock.availableCount !== undefined) {
      requireCount(`stock[${index}].availableCount`, stock.availableCount, 0);
    }
    if (stock.cost !== undefined) requireCost(`stock[${index}].cost`, stock.cost);
    const lengthThousandths = thousandths(`stock[${index}].lengthMm`, stock.lengthMm);
    return {
      id: stock.id,
      size: Math.floor((lengthThousandths + kerfThousandths) / unit),
      lengthThousandths,
      available: stock.availableCount ?? Number.POSITIVE_INFINITY,
      weight: objective === 'cost' ? (stock.cost ?? 0) : objective === 'count' ? 1 : stock.lengthMm,
    };
  });
  return { items, bars, kerfThousandths, objective };
}

/**
 * Fewest lengths that could hold all pieces end to end: the longest first, ⌈Σ(l + s)·d / (L + s)⌉
 * for one stock. Infinite when all stock together is too short.
 *
 * @source gilmore-gomory-1961
 */
export function materialBoundCount(problem: CuttingProblem): number {
  let left = problem.items.reduce((sum, item) => sum + item.size * item.demand, 0);
  let count = 0;
  for (const bar of [...problem.bars].sort((a, b) => b.size - a.size)) {
    if (bar.size === 0) break;
    const taken = Math.min(bar.available, Math.ceil(left / bar.size));
    count += taken;
    left -= taken * bar.size;
    if (left <= 0) return count;
  }
  return Number.POSITIVE_INFINITY;
}

/**
 * Least the objective can be when only the length of stock counts, raised as `raisedBound` does: the
 * stocks with the lowest weight per length first, the last of them in part. For one stock counted in
 * lengths this is ⌈Σ(l + s)·d / (L + s)⌉. Infinite when all stock together is too short.
 *
 * @source gilmore-gomory-1961
 */
export function materialBound(problem: CuttingProblem): number {
  if (problem.objective === 'count') return materialBoundCount(problem);
  let left = problem.items.reduce((sum, item) => sum + item.size * item.demand, 0);
  let weight = 0;
  const bars = problem.bars.filter(({ size, available }) => size > 0 && available > 0);
  for (const bar of bars.sort((a, b) => a.weight / a.size - b.weight / b.size)) {
    const room = bar.available * bar.size;
    if (left <= room) return raisedBound(problem, weight + (left / bar.size) * bar.weight);
    weight += bar.available * bar.weight;
    left -= room;
  }
  return Number.POSITIVE_INFINITY;
}

/**
 * A bound on the objective raised to the next value that whole lengths can take.
 *
 * @source gilmore-gomory-1961
 */
export function raisedBound(problem: CuttingProblem, bound: number): number {
  const micro = problem.bars.map((bar) => Math.round(bar.weight * 1e6));
  const step = commonDivisor(micro) / 1e6;
  return step > 0 ? Math.round(Math.ceil(bound / step - 1e-6) * step * 1e6) / 1e6 : bound;
}

/**
 * Why no plan can exist, as far as lengths alone tell: a piece longer than any stock, or too little
 * stock in all; null otherwise.
 *
 * @source gilmore-gomory-1961
 */
export function impossibleReason(problem: CuttingProblem): string | null {
  const usable = problem.bars.filter((bar) => bar.available > 0);
  const longest = Math.max(0, ...usable.map((bar) => bar.size));
  const [piece] = problem.items;
  if (piece !== undefined && piece.size > longest) {
    const ids = piece.pieces.map(({ id }) => id).join(', ');
    return `piece ${ids} of ${piece.lengthThousandths / 1000} mm is longer than any stock`;
  }
  return Number.isFinite(materialBoundCount(problem))
    ? null
    : 'all the stock together is too short for the pieces with their saw cuts';
}
