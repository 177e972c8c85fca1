import { v7 as uuidv7 } from 'uuid';
import type {
  NewStockTransfer,
  StockEntry,
  StockTransfer,
} from '../../../shared/contract/stock.ts';
import { compareQuantities, subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { requireLotOf } from '../stock-lots/take-in-lot.ts';
import { lockClientId } from './client-id.ts';
import { requireOpenForStore } from './dispatch-gate.ts';
import { holdStock } from './held-stock.ts';
import { chooseLot } from './lot-choice.ts';
import { findTransfer } from './repository.ts';
import { requireStockedMaterial, requireStore } from './stock-rules.ts';
import type { StockParts } from './use-cases.ts';

/** Moves a material from one store to another at once; a lot that may not be used moves when named. */
export async function transferStock(
  tx: Tx,
  { clock, gate }: StockParts,
  input: NewStockTransfer,
): Promise<StockTransfer> {
  const { id = uuidv7(), fromStoreId, toStoreId, materialId, quantity } = input;
  refuseFutureDate(clock, '/observedOn', input.observedOn);
  if (input.id !== undefined) {
    await lockClientId(tx, id);
    const earlier = await findTransfer(tx, id);
    if (earlier.length > 0) return sameTransfer(earlier, { ...input, id });
  }
  const material = await requireStockedMaterial(tx, materialId);
  const from = await requireStore(tx, fromStoreId, '/fromStoreId');
  const to = await requireStore(tx, toStoreId, '/toStoreId');
  if (typeof input.lotId === 'string') await requireLotOf(tx, materialId, input.lotId, '/lotId');
  await requireOpenForStore(tx, gate, to.village_id);
  const out = { storeId: fromStoreId, materialId };
  const into = { storeId: toStoreId, materialId };
  const held = await holdStock(tx, [out, into]);
  const nameAt = (storeCode: string) => ({
    storeCode,
    materialCode: material.code,
    unitCode: material.unit_code,
  });
  const lotId =
    input.lotId !== undefined
      ? input.lotId
      : chooseLot(held, out, {
          wanted: quantity,
          on: input.observedOn,
          name: nameAt(from.code),
        });
  const shared = {
    materialId,
    lotId,
    unitCode: material.unit_code,
    observedOn: input.observedOn,
    transferId: id,
    documentNumber: input.documentNumber,
    reason: input.reason,
  };
  const entries: StockEntry[] = [];
  entries.push(
    await held.post(
      {
        ...shared,
        id: uuidv7(),
        kind: 'transfer-out',
        storeId: fromStoreId,
        counterpartStoreId: toStoreId,
        quantity: subtractQuantities('0', quantity),
      },
      nameAt(from.code),
    ),
    await held.post(
      {
        ...shared,
        id: uuidv7(),
        kind: 'transfer-in',
        storeId: toStoreId,
        counterpartStoreId: fromStoreId,
        quantity,
      },
      nameAt(to.code),
    ),
  );
  await tx.audit('transfer', 'stock entry', id, { ...input, lotId });
  return { id, entries };
}

/** The transfer as it was recorded, when it is the same one that comes again. */
function sameTransfer(
  entries: readonly StockEntry[],
  { id, fromStoreId, toStoreId, materialId, quantity }: NewStockTransfer & { id: string },
): StockTransfer {
  const [out, into] = entries;
  const isSame =
    entries.length === 2 &&
    out?.storeId === fromStoreId &&
    into?.storeId === toStoreId &&
    into.materialId === materialId &&
    compareQuantities(into.quantity, quantity) === 0;
  if (isSame) return { id, entries: [...entries] };
  throw new DomainError('conflict', {
    detail: `Transfer ${id} was recorded with other contents.`,
  });
}
