/** The middle of an odd or even number of values. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  const [low, high] = [
    sorted[Math.ceil(middle) - 1] ?? Number.NaN,
    sorted[Math.floor(middle)] ?? Number.NaN,
  ];
  return (low + high) / 2;
}

/**
 * Median milliseconds of two ways of doing the same thing, their rounds interleaved so that
 * whatever else the machine does falls on both.
 */
export async function interleaved(
  rounds: number,
  ours: () => Promise<unknown> | unknown,
  baseline: () => Promise<unknown> | unknown,
): Promise<{ oursMs: number; baselineMs: number }> {
  const times = { ours: [] as number[], baseline: [] as number[] };
  await ours();
  await baseline();
  for (let round = 0; round < rounds; round++) {
    times.ours.push(await milliseconds(ours));
    times.baseline.push(await milliseconds(baseline));
  }
  return { oursMs: median(times.ours), baselineMs: median(times.baseline) };
}

async function milliseconds(work: () => Promise<unknown> | unknown): Promise<number> {
  const from = process.hrtime.bigint();
  await work();
  return Number(process.hrtime.bigint() - from) / 1e6;
}
