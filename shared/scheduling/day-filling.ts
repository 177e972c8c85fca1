/** People up to which fillings are looked through; more take stages by worth alone. Ours: time. */
const MOST_PEOPLE = 64;

/**
 * The stages that use the free people of one day best: those of the greatest worth in all that fit
 * side by side, a bounded knapsack over the numbers of people.
 *
 * @param able stages that could start
 * @param worth by stage
 * @returns a choice of them
 * @source knapsack
 */
export function bestFilling(
  able: readonly number[],
  free: number,
  people: Int32Array,
  worth: Float64Array,
): readonly number[] {
  if (able.length === 0 || free <= 0) return [];
  const valued = able.map((stage) => ({
    stage,
    value: worth[stage] as number,
    size: people[stage] as number,
  }));
  valued.sort((a, b) => b.value - a.value || a.stage - b.stage);
  if (valued.reduce((sum, { size }) => sum + size, 0) <= free)
    return valued.map(({ stage }) => stage);
  if (free > MOST_PEOPLE) {
    let left = free;
    return valued.flatMap(({ stage, size }) => {
      if (size > left) return [];
      left -= size;
      return [stage];
    });
  }
  const sizes = [...new Set(valued.map(({ size }) => size))];
  const bySize = sizes.map((size) => valued.filter((one) => one.size === size));
  let best = new Float64Array(free + 1);
  const counts: Int32Array[] = [];
  for (const [at, size] of sizes.entries()) {
    const own = bySize[at] ?? [];
    const next = best.slice();
    const count = new Int32Array(free + 1);
    for (let room = size; room <= free; room += 1) {
      let value = 0;
      for (let many = 1; many <= own.length && many * size <= room; many += 1) {
        value += own[many - 1]?.value ?? 0;
        const all = (best[room - many * size] as number) + value;
        if (all > (next[room] as number)) {
          next[room] = all;
          count[room] = many;
        }
      }
    }
    best = next;
    counts.push(count);
  }
  const chosen: number[] = [];
  let room = free;
  for (let at = sizes.length - 1; at >= 0; at -= 1) {
    const many = counts[at]?.[room] ?? 0;
    for (const { stage } of (bySize[at] ?? []).slice(0, many)) chosen.push(stage);
    room -= many * (sizes[at] as number);
  }
  return chosen;
}
