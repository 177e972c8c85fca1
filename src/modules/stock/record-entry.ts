import { v7 as uuidv7 } from 'uuid';
import type { NewStockEntry, StockEntry } from '../../../shared/contract/stock.ts';
import {
  compareQuantities,
  subtractQuantities,
  sumQuantities,
} from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError, invalidContent, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { requireLotOf } from '../stock-lots/take-in-lot.ts';
import { lockClientId } from './client-id.ts';
import type { CardName, HeldStock } from './held-stock.ts';
import { holdStock } from './held-stock.ts';
import { chooseLot, requireNamedLot } from './lot-choice.ts';
import { settleOrderStatus } from './order-receipts.ts';
import { lotMissing } from './post-receipt.ts';
import { findEntry } from './repository.ts';
import {
  requireBuildAtWork,
  requireIssuedBefore,
  requireOrdered,
  requireStockedMaterial,
  requireStore,
} from './stock-rules.ts';
import type { StockParts } from './use-cases.ts';

/** Receives, issues, returns or counts one material in one store. */
export async function recordEntry(
  tx: Tx,
  { clock, gate, orders }: StockParts,
  input: NewStockEntry,
): Promise<StockEntry> {
  const { storeId, materialId } = input;
  if (input.kind === 'write-off') throw writeOffNeedsTwo();
  refuseFutureDate(clock, '/observedOn', input.observedOn);
  const earlier = await earlierEntry(tx, input);
  if (earlier) return earlier;
  const material = await requireStockedMaterial(tx, materialId);
  const store = await requireStore(tx, storeId, '/storeId');
  if (typeof input.lotId === 'string') await requireLotOf(tx, materialId, input.lotId, '/lotId');
  let orderId: string | null = null;
  let returnedLot: string | null = null;
  if (input.kind === 'receive') {
    if (!input.lotId && material.lot_identity !== 'none') throw lotMissing('/lotId', material.code);
    if (input.orderLineId !== undefined) {
      orderId = await requireOrdered(tx, { ...input, orderLineId: input.orderLineId });
    }
  } else if (input.kind === 'issue') {
    const build = await requireBuildAtWork(tx, input.buildId);
    await gate?.requireOpen(tx, build.village_id, build.programme_id);
  } else if (input.kind === 'return') {
    returnedLot = await requireIssuedBefore(tx, input);
  }
  const held = await holdStock(tx, [{ storeId, materialId }]);
  const name = {
    storeCode: store.code,
    materialCode: material.code,
    unitCode: material.unit_code,
  };
  const { quantity, lotId } = movement(held, input, name, returnedLot);
  const entry = await held.post(
    {
      ...input,
      id: input.id ?? uuidv7(),
      quantity,
      lotId,
      unitCode: material.unit_code,
      reason: reasonOf(input, quantity),
    },
    name,
  );
  const orderStatus = orderId && (await settleOrderStatus(tx, orderId));
  if (orderId !== null) {
    const evidence = input.documentNumber || 'goods received';
    await orders?.settle(tx, orderId, { occurredOn: input.observedOn, evidence });
  }
  await tx.audit('record', 'stock entry', entry.id, {
    ...input,
    ...(lotId ? { lotId } : {}),
    ...(orderStatus ? { orderStatus } : {}),
  });
  return entry;
}

/** The entry that was recorded with this id, when it is the same one that comes again. */
async function earlierEntry(tx: Tx, input: OneLineEntry): Promise<StockEntry | null> {
  if (input.id === undefined) return null;
  await lockClientId(tx, input.id);
  const earlier = await findEntry(tx, input.id);
  if (!earlier) return null;
  const quantity = input.kind === 'count' ? earlier.quantity : input.quantity;
  const isSame =
    earlier.kind === input.kind &&
    earlier.storeId === input.storeId &&
    earlier.materialId === input.materialId &&
    earlier.buildId === ('buildId' in input ? input.buildId : null) &&
    compareQuantities(earlier.quantity.replace('-', ''), quantity.replace('-', '')) === 0;
  if (isSame) return earlier;
  throw new DomainError('conflict', {
    detail: `Stock entry ${input.id} was recorded with other contents.`,
  });
}

type OneLineEntry = Exclude<NewStockEntry, { kind: 'write-off' }>;

/** What is posted: the signed quantity, and the lot. */
function movement(
  held: HeldStock,
  input: OneLineEntry,
  name: CardName,
  returnedLot: string | null,
): { quantity: string; lotId: string | null } {
  switch (input.kind) {
    case 'receive':
      return { quantity: sumQuantities([input.quantity]), lotId: input.lotId ?? null };
    case 'return':
      return { quantity: sumQuantities([input.quantity]), lotId: returnedLot };
    case 'issue': {
      const lotId = chooseLot(held, input, {
        wanted: input.quantity,
        lotId: input.lotId,
        on: input.observedOn,
        name,
      });
      return { quantity: subtractQuantities('0', input.quantity), lotId };
    }
    case 'count':
      return countedDifference(held, input, name);
  }
}

function countedDifference(
  held: HeldStock,
  input: Extract<OneLineEntry, { kind: 'count' }>,
  name: CardName,
): { quantity: string; lotId: string | null } {
  const on = input.observedOn;
  requireNamedLot(held, input, { lotId: input.lotId, on, storeCode: name.storeCode });
  const lotId = input.lotId ?? null;
  const before = held.lots(input, on).find((lot) => lot.lotId === lotId)?.quantity ?? '0';
  return { quantity: subtractQuantities(input.countedQuantity, before), lotId };
}

function reasonOf(input: OneLineEntry, quantity: string): string {
  switch (input.kind) {
    case 'receive':
      return input.excessReason ?? '';
    case 'issue':
      return '';
    case 'return':
      return input.reason;
    case 'count':
      if (quantity === '0' || input.reason !== '') return input.reason;
      throw invalidContent([
        {
          pointer: '/reason',
          code: 'reason.missing',
          message: `the count differs from the balance by ${quantity}; say why`,
        },
      ]);
  }
}

const writeOffNeedsTwo = () =>
  ruleBroken(
    'write-off-needs-two',
    'One person asks for a write-off (write-offs) and another approves it; the stock leaves the ledger then.',
  );
