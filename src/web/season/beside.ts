import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Bill } from '../../../shared/contract/bill.ts';
import type { Build } from '../../../shared/contract/build.ts';
import type { BuildProgress } from '../../../shared/contract/stage-record.ts';
import { read } from '../api/client.ts';
import { inTurn } from '../api/in-turn.ts';

/** Requests that run at once for what stands beside the rows. */
const AT_ONCE = 3;

type Totals = Pick<Bill, 'amount' | 'inKindAmount'>;

type Beside<Value> = Signal<ReadonlyMap<string, Value>>;

/** The bill totals of the programme (key `''`) and of each village, as they arrive. */
export function useBillTotals(programmeId: string, villageIds: readonly string[]): Beside<Totals> {
  return useBeside(programmeId, ['', ...villageIds], async (villageId, signal) => {
    const query = { programmeId, villageId: villageId === '' ? null : villageId };
    const { amount, inKindAmount } = await read('/bills', { query, signal });
    return { amount, inKindAmount };
  });
}

/** How the builds on hold stand, as it arrives: it holds the reason. */
export function useHeldProgress(heldBuilds: readonly Build[]): Beside<BuildProgress> {
  const ids = heldBuilds.map(({ id }) => id);
  return useBeside('', ids, (id, signal) => read('/builds/:id/progress', { id, signal }));
}

/** Reads something for each key, a few at a time; what is refused is left out. */
function useBeside<Value>(
  about: string,
  keys: readonly string[],
  load: (key: string, signal: AbortSignal) => Promise<Value>,
): Beside<Value> {
  const known = useSignal<ReadonlyMap<string, Value>>(new Map());
  const wanted = `${about} ${keys.join(' ')}`;
  useEffect(() => {
    const controller = new AbortController();
    known.value = new Map();
    void inTurn(keys, AT_ONCE, controller.signal, async (key) => {
      try {
        const value = await load(key, controller.signal);
        if (!controller.signal.aborted) known.value = new Map(known.peek()).set(key, value);
      } catch {
        // The row then shows without it; the page itself is not in doubt.
      }
    });
    return () => controller.abort();
  }, [wanted]);
  return known;
}
