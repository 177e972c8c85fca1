/**
 * Moves labels of a column apart along their line, each as near to its own place as the order and
 * the pitch allow.
 *
 * Labels that would touch form a block around the mean of their places; blocks that touch are
 * joined until none do (isotonic regression by pooling neighbours).
 *
 * @param places wanted middles, in any order; @param limits room for the first and last middle
 * @returns middles in the order of the input, at least `pitch` apart where the room allows it
 * @source iso-128
 */
export function spreadLabels(
  places: readonly number[],
  pitch: number,
  limits: { readonly from: number; readonly to: number } = { from: -1e9, to: 1e9 },
): number[] {
  const order = places.map((_, index) => index);
  order.sort((a, b) => (places[a] ?? 0) - (places[b] ?? 0) || a - b);
  const blocks: { sum: number; count: number }[] = [];
  const start = ({ sum, count }: { sum: number; count: number }): number =>
    sum / count - ((count - 1) * pitch) / 2;
  for (const index of order) {
    let block = { sum: places[index] ?? 0, count: 1 };
    let above = blocks.at(-1);
    while (above !== undefined && start(above) + above.count * pitch > start(block)) {
      block = { sum: above.sum + block.sum, count: above.count + block.count };
      blocks.pop();
      above = blocks.at(-1);
    }
    blocks.push(block);
  }
  const spread = blocks.flatMap((block) =>
    Array.from({ length: block.count }, (_, row) => start(block) + row * pitch),
  );
  const last = spread.length - 1;
  const kept = spread.map((middle, row) =>
    Math.min(Math.max(middle, limits.from + row * pitch), limits.to - (last - row) * pitch),
  );
  const result = places.map(() => 0);
  order.forEach((index, row) => {
    result[index] = kept[row] ?? 0;
  });
  return result;
}
