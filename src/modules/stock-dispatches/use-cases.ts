import { v7 as uuidv7 } from 'uuid';
import type {
  NewStockArrival,
  NewStockDispatch,
  StockDispatch,
} from '../../../shared/contract/stock-dispatch.ts';
import { compareQuantities, subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { lockClientId } from '../stock/client-id.ts';
import { type DispatchGate, requireOpenForStore } from '../stock/dispatch-gate.ts';
import { holdStock } from '../stock/held-stock.ts';
import { splitOverLots } from '../stock/lot-choice.ts';
import { requireStockedMaterial, requireStore } from '../stock/stock-rules.ts';
import { requireLotOf } from '../stock-lots/take-in-lot.ts';
import { requireWholeArrival } from './arrival-rules.ts';
import {
  type DispatchLineInsert,
  findDispatch,
  insertArrival,
  insertDispatch,
  listDispatches,
} from './repository.ts';

export interface DispatchParts {
  readonly clock: Clock;
  /** Asked before goods leave for a store of a village. */
  readonly gate?: DispatchGate | undefined;
}

export interface StockDispatches {
  dispatch(tx: Tx, input: NewStockDispatch): Promise<StockDispatch>;
  arrive(tx: Tx, id: string, input: NewStockArrival): Promise<StockDispatch>;
  get(tx: Tx, id: string): Promise<StockDispatch>;
  readonly list: typeof listDispatches;
}

/** Goods on the road: they leave one store's ledger at dispatch and enter the other's on arrival. */
export function createStockDispatches({ clock, gate }: DispatchParts): StockDispatches {
  const get = async (tx: Tx, id: string): Promise<StockDispatch> => {
    const found = await findDispatch(tx, id);
    if (!found) throw notFound('dispatch', id);
    return found;
  };
  return {
    get,
    list: listDispatches,
    async dispatch(tx, input) {
      const { id = uuidv7(), fromStoreId, toStoreId, dispatchedOn, noteNumber } = input;
      refuseFutureDate(clock, '/dispatchedOn', dispatchedOn);
      const earlier = await earlierDispatch(tx, input);
      if (earlier) return earlier;
      const from = await requireStore(tx, fromStoreId, '/fromStoreId');
      const to = await requireStore(tx, toStoreId, '/toStoreId');
      await requireOpenForStore(tx, gate, to.village_id);
      const wanted = [];
      for (const [index, line] of input.lines.entries()) {
        const pointer = `/lines/${index}`;
        const material = await requireStockedMaterial(tx, line.materialId, `${pointer}/materialId`);
        if (typeof line.lotId === 'string') {
          await requireLotOf(tx, line.materialId, line.lotId, `${pointer}/lotId`);
        }
        const name = {
          storeCode: from.code,
          materialCode: material.code,
          unitCode: material.unit_code,
        };
        wanted.push({ line, name, pointer });
      }
      const held = await holdStock(
        tx,
        input.lines.map(({ materialId }) => ({ storeId: fromStoreId, materialId })),
      );
      const parts = wanted.flatMap(({ line, name, pointer }) => {
        const { materialId, quantity, lotId } = line;
        const split =
          lotId !== undefined
            ? [{ lotId, quantity }]
            : splitOverLots(
                held,
                { storeId: fromStoreId, materialId },
                {
                  wanted: quantity,
                  on: dispatchedOn,
                  name,
                  pointer,
                },
              );
        return split.map((part) => ({ ...part, id: uuidv7(), materialId, name, pointer }));
      });
      const lines = parts.map(
        ({ name, pointer: _, ...part }): DispatchLineInsert => ({
          ...part,
          unitCode: name.unitCode,
        }),
      );
      await insertDispatch(tx, id, input, lines);
      for (const { id: lineId, materialId, lotId, quantity, name, pointer } of parts) {
        const posting = {
          id: uuidv7(),
          kind: 'transfer-out' as const,
          storeId: fromStoreId,
          materialId,
          lotId,
          quantity: subtractQuantities('0', quantity),
          unitCode: name.unitCode,
          observedOn: dispatchedOn,
          counterpartStoreId: toStoreId,
          transferId: id,
          dispatchLineId: lineId,
          documentNumber: noteNumber,
          reason: input.reason,
        };
        await held.post(posting, name, `${pointer}/quantity`);
      }
      await tx.audit('dispatch', 'stock dispatch', id, input);
      return get(tx, id);
    },
    async arrive(tx, dispatchId, input) {
      const dispatch = await get(tx, dispatchId);
      refuseFutureDate(clock, '/arrivedOn', input.arrivedOn);
      if (dispatch.arrival) {
        if (dispatch.arrival.id === input.id) return dispatch;
        throw ruleBroken(
          'dispatch-arrived',
          `Dispatch ${dispatch.noteNumber} arrived on ${dispatch.arrival.arrivedOn} already.`,
        );
      }
      requireWholeArrival(dispatch, input);
      await insertArrival(tx, input.id ?? uuidv7(), dispatch, input);
      const storeId = dispatch.toStoreId;
      const held = await holdStock(
        tx,
        dispatch.lines.map(({ materialId }) => ({ storeId, materialId })),
      );
      const sent = new Map(dispatch.lines.map((line) => [line.id, line]));
      for (const { dispatchLineId, goodQuantity, remarks } of input.lines) {
        const line = sent.get(dispatchLineId);
        if (!line || compareQuantities(goodQuantity, '0') === 0) continue;
        const { materialId, materialCode, lotId, unitCode } = line;
        const posting = {
          id: uuidv7(),
          kind: 'transfer-in' as const,
          storeId,
          materialId,
          lotId,
          quantity: goodQuantity,
          unitCode,
          observedOn: input.arrivedOn,
          counterpartStoreId: dispatch.fromStoreId,
          transferId: dispatch.id,
          dispatchLineId,
          documentNumber: dispatch.noteNumber,
          reason: remarks,
        };
        await held.post(posting, { storeCode: dispatch.toStoreCode, materialCode, unitCode });
      }
      await tx.audit('arrive', 'stock dispatch', dispatchId, input);
      return get(tx, dispatchId);
    },
  };
}

/** The dispatch that was recorded with this id, when it is the same one that comes again. */
async function earlierDispatch(tx: Tx, input: NewStockDispatch): Promise<StockDispatch | null> {
  if (input.id === undefined) return null;
  await lockClientId(tx, input.id);
  const earlier = await findDispatch(tx, input.id);
  const isSame =
    earlier?.noteNumber === input.noteNumber &&
    earlier.fromStoreId === input.fromStoreId &&
    earlier.toStoreId === input.toStoreId;
  if (earlier === null || isSame) return earlier;
  throw new DomainError('conflict', {
    detail: `Dispatch ${input.id} was recorded with other contents.`,
  });
}
