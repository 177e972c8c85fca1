export interface IntervalMaximum {
  readonly at: number;
  readonly value: number;
}

const GOLDEN_RATIO = (Math.sqrt(5) - 1) / 2;
/** Enough to place a smooth peak as closely as double precision can. */
const GOLDEN_STEPS = 36;

/**
 * Greatest value of a smooth function on [low, high]: an even scan, then golden section around the
 * best sample. Finds the global maximum when no peak is narrower than two sample steps.
 *
 * @source project-limit numerical search
 */
export function intervalMaximum(
  quantity: (x: number) => number,
  low: number,
  high: number,
  sampleCount: number,
): IntervalMaximum {
  const step = (high - low) / sampleCount;
  let best: IntervalMaximum = { at: low, value: quantity(low) };
  for (let i = 1; i <= sampleCount; i += 1) {
    const at = i === sampleCount ? high : low + i * step;
    const value = quantity(at);
    if (value > best.value) best = { at, value };
  }
  let left = Math.max(low, best.at - step);
  let right = Math.min(high, best.at + step);
  for (let i = 0; i < GOLDEN_STEPS; i += 1) {
    const span = (right - left) * GOLDEN_RATIO;
    if (quantity(right - span) >= quantity(left + span)) right = left + span;
    else left = right - span;
  }
  const middle = (left + right) / 2;
  const refined = quantity(middle);
  return refined > best.value ? { at: middle, value: refined } : best;
}
