import { subtractQuantities, sumQuantities } from '../../shared/takeoff/quantity.ts';
import type { Tx } from '../../src/db/database.ts';
import { quantityText } from '../../src/db/wire-values.ts';
import type { StockOperation } from './stock-season.ts';

interface Row {
  readonly store_id: string;
  readonly material_id: string;
  readonly lot_id: string | null;
  readonly build_id: string | null;
  readonly kind: string;
  readonly quantity: string;
  readonly document_number: string;
}

/**
 * Counts the whole ledger again, entry by entry in the order of recording, by its own arithmetic.
 *
 * @returns what does not hold, in words; nothing when the ledger is right
 */
export async function recountLedger(tx: Tx): Promise<{ faults: string[]; rows: Row[] }> {
  const rows = await tx.sql<Row>(
    `select store_id, material_id, lot_id, build_id, kind, quantity, document_number
     from stock_entry order by recorded_at, id`,
  );
  const faults: string[] = [];
  const running = new Map<string, string>();
  const add = (key: string, quantity: string) => {
    const sum = sumQuantities([running.get(key) ?? '0', quantityText(quantity)]);
    running.set(key, sum);
    if (sum.startsWith('-')) faults.push(`${key} fell to ${sum}`);
  };
  for (const { store_id, material_id, lot_id, build_id, kind, quantity } of rows) {
    add(`card ${store_id} ${material_id}`, quantity);
    add(`lot ${store_id} ${material_id} ${lot_id}`, quantity);
    if (build_id && (kind === 'issue' || kind === 'return')) {
      const atBuild = subtractQuantities('0', quantityText(quantity));
      add(`build ${build_id} ${material_id} ${lot_id}`, atBuild);
    }
  }
  const balances = await tx.sql<{ key: string; quantity: string }>(
    `select 'card ' || store_id || ' ' || material_id as key, quantity from stock_balance
     union all select 'lot ' || store_id || ' ' || material_id || ' ' || lot_id, quantity from stock_lot_balance`,
  );
  const kept = new Map(balances.map(({ key, quantity }) => [key, quantityText(quantity)]));
  for (const [key, quantity] of kept) {
    if ((running.get(key) ?? '0') !== quantity) {
      faults.push(`${key} is kept as ${quantity} and adds up to ${running.get(key) ?? '0'}`);
    }
  }
  for (const [key, quantity] of running) {
    const isKept = kept.has(key) || key.startsWith('build ') || key.endsWith(' null');
    if (!isKept) faults.push(`${key} adds up to ${quantity} and is not kept`);
  }
  return { faults, rows };
}

/** What an operation must have left in the ledger when it happened: entries and their sum. */
export function effectFaults(
  { id, kind, body }: StockOperation,
  found: readonly Row[],
): string | null {
  const sum = sumQuantities(found.map(({ quantity }) => quantityText(quantity)));
  const quantity = sumQuantities([String(body.quantity ?? '0')]);
  const lines = (body.lines ?? []) as readonly { quantity: string }[];
  const wanted = sumQuantities(lines.map((line) => line.quantity));
  const isRight = {
    receive: found.length === 1 && sum === quantity,
    return: found.length === 1 && sum === quantity,
    issue: found.length === 1 && sum === subtractQuantities('0', quantity),
    count: found.length === 1,
    transfer:
      found.length === 2 &&
      sum === '0' &&
      found.some((row) => quantityText(row.quantity) === quantity),
    slip: found.length >= lines.length && sum === subtractQuantities('0', wanted),
  }[kind];
  return isRight ? null : `${kind} ${id} left ${found.length} entries of ${sum}`;
}
