/**
 * Runs work for each item, only so many at a time, so that a page never floods the service.
 * Stops handing out items once the signal aborts.
 */
export async function inTurn<Item>(
  items: readonly Item[],
  atOnce: number,
  signal: AbortSignal,
  work: (item: Item) => Promise<void>,
): Promise<void> {
  let next = 0;
  const worker = async () => {
    while (next < items.length && !signal.aborted) {
      const item = items[next];
      next += 1;
      if (item !== undefined) await work(item);
    }
  };
  await Promise.all(Array.from({ length: Math.min(atOnce, items.length) }, worker));
}
