import { EngineError, requireWithin } from '../errors.ts';

/** How wet days follow each other: each by its own chance, or by what the day before was. */
export type WetDays =
  | { readonly kind: 'independent'; readonly wetRatio: number }
  | {
      readonly kind: 'chain';
      readonly wetAfterWetRatio: number;
      readonly wetAfterDryRatio: number;
    };

export interface WeatherDelay {
  readonly meanDays: number;
  readonly standardDeviationDays: number;
  /** By level asked: the fewest days within which the work is done with at least that chance. */
  readonly quantileDays: readonly { readonly levelRatio: number; readonly days: number }[];
}

/** Days of work, and wet chances, up to which the recursion is run. Ours. */
const MOST_DRY_DAYS = 1_000;
const GREATEST_WET_RATIO = 0.98;
/** The recursion ends when less than this chance of not being done is left. */
const CHANCE_LEFT = 1e-13;

/**
 * Calendar days needed for n dry days when work stands still on wet ones.
 *
 * Independent wet days of chance p: n plus a negative binomial count, mean n/(1 − p) and standard
 * deviation √(n·p)/(1 − p). In a chain, a day is wet with chance p₁₁ after a wet day and p₀₁ after a
 * dry one, the first with the long-run share p₀₁/(1 + p₀₁ − p₁₁). Day by day, with D_k and W_k the
 * chances that k dry days have passed and the last day was dry or wet,
 *
 *     D_k ← D_k−1·(1 − p₀₁) + W_k−1·(1 − p₁₁),   W_k ← D_k·p₀₁ + W_k·p₁₁.
 *
 * @param dryDays n, whole days of work
 * @param levelRatios above 0 and below 1: 0.80 gives P80, the smallest count of days with
 *   P(done within it) ≥ 0.80
 * @throws {EngineError} `out-of-range` naming the field
 * @source wet-days
 */
export function weatherDelay(
  dryDays: number,
  wet: WetDays,
  levelRatios: readonly number[],
): WeatherDelay {
  if (!Number.isInteger(dryDays)) {
    throw new EngineError('out-of-range', 'dryDays', dryDays, 'must be a whole number');
  }
  requireWithin('dryDays', dryDays, 1, MOST_DRY_DAYS);
  for (const [at, level] of levelRatios.entries()) {
    requireWithin(`levelRatios[${at}]`, level, 0.001, 0.999_999);
  }
  const { first, afterWet, afterDry } = chances(wet);
  // The day before the first is drawn from the long-run share, which the first day then has too.
  const dry = new Float64Array(dryDays + 1);
  const wetEnd = new Float64Array(dryDays + 1);
  dry[0] = 1 - first;
  wetEnd[0] = first;
  const days: (number | null)[] = levelRatios.map(() => null);
  let done = 0;
  let mean = 0;
  let square = 0;
  let left = 1;
  for (let day = 1; left > CHANCE_LEFT; day += 1) {
    left = 0;
    for (let k = dryDays - 1; k >= 0; k -= 1) {
      const d = dry[k] as number;
      const w = wetEnd[k] as number;
      dry[k + 1] = d * (1 - afterDry) + w * (1 - afterWet);
      wetEnd[k] = d * afterDry + w * afterWet;
      left += d + w;
    }
    dry[0] = 0;
    const now = dry[dryDays] as number;
    left -= now;
    done += now;
    mean += day * now;
    square += day * day * now;
    for (const [at, level] of levelRatios.entries()) {
      if (days[at] === null && done >= level - 1e-12) days[at] = day;
    }
  }
  return {
    meanDays: mean,
    standardDeviationDays: Math.sqrt(Math.max(0, square - mean * mean)),
    quantileDays: levelRatios.map((levelRatio, at) => ({ levelRatio, days: days[at] ?? dryDays })),
  };
}

function chances(wet: WetDays): { first: number; afterWet: number; afterDry: number } {
  if (wet.kind === 'independent') {
    requireWithin('wetRatio', wet.wetRatio, 0, GREATEST_WET_RATIO);
    return { first: wet.wetRatio, afterWet: wet.wetRatio, afterDry: wet.wetRatio };
  }
  const { wetAfterWetRatio: afterWet, wetAfterDryRatio: afterDry } = wet;
  requireWithin('wetAfterWetRatio', afterWet, 0, GREATEST_WET_RATIO);
  requireWithin('wetAfterDryRatio', afterDry, 0, GREATEST_WET_RATIO);
  return { first: afterDry / (1 + afterDry - afterWet), afterWet, afterDry };
}
