import { v7 as uuidv7 } from 'uuid';
import type {
  DecidedWriteOff,
  NewWriteOff,
  NewWriteOffDecision,
  WriteOff,
} from '../../../shared/contract/write-off.ts';
import { compareQuantities, subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { lockClientId } from '../stock/client-id.ts';
import { belowZero, holdStock } from '../stock/held-stock.ts';
import { requireNamedLot } from '../stock/lot-choice.ts';
import { requireStockedMaterial, requireStore } from '../stock/stock-rules.ts';
import { requireLotOf } from '../stock-lots/take-in-lot.ts';
import { findWriteOff, insertDecision, insertRequest, listWriteOffs } from './repository.ts';

export interface WriteOffs {
  request(tx: Tx, input: NewWriteOff): Promise<WriteOff>;
  decide(tx: Tx, id: string, input: NewWriteOffDecision): Promise<DecidedWriteOff>;
  get(tx: Tx, id: string): Promise<WriteOff>;
  readonly list: typeof listWriteOffs;
}

/** Write-offs: one person asks, another decides, and only then stock leaves the ledger. */
export function createWriteOffs(clock: Clock): WriteOffs {
  const get = async (tx: Tx, id: string): Promise<WriteOff> => {
    const found = await findWriteOff(tx, id);
    if (!found) throw notFound('write-off', id);
    return found;
  };
  return {
    get,
    list: listWriteOffs,
    async request(tx, input) {
      const { storeId, materialId, lotId, quantity } = input;
      refuseFutureDate(clock, '/observedOn', input.observedOn);
      const earlier = await earlierRequest(tx, input);
      if (earlier) return earlier;
      const material = await requireStockedMaterial(tx, materialId);
      const store = await requireStore(tx, storeId, '/storeId');
      if (typeof lotId === 'string') await requireLotOf(tx, materialId, lotId, '/lotId');
      const card = { storeId, materialId };
      const held = await holdStock(tx, [card]);
      requireNamedLot(held, card, { lotId, on: input.observedOn, storeCode: store.code });
      const lot = held.lots(card, input.observedOn).find((each) => each.lotId === (lotId ?? null));
      const balance = lot?.quantity ?? '0';
      if (compareQuantities(balance, quantity) < 0) {
        throw belowZero(
          card,
          {
            storeCode: store.code,
            materialCode: material.code,
            unitCode: material.unit_code,
          },
          { balance, wanted: quantity, pointer: '/quantity' },
        );
      }
      const id = input.id ?? uuidv7();
      await insertRequest(tx, id, material.unit_code, input);
      await tx.audit('request', 'write-off', id, input);
      return get(tx, id);
    },
    async decide(tx, id, input) {
      const request = await get(tx, id);
      if (request.state !== 'requested') {
        throw ruleBroken('write-off-decided', `This write-off was ${request.state} already.`);
      }
      if (request.requestedById === tx.actor.personId) {
        throw ruleBroken(
          'write-off-needs-two',
          'Whoever asks for a write-off does not decide on it; another person does.',
        );
      }
      await insertDecision(tx, request, input);
      await tx.audit('decide', 'write-off', id, input);
      if (input.decision === 'refused') return { writeOff: await get(tx, id), entry: null };
      const { storeId, materialId, lotId, storeCode, materialCode, unitCode } = request;
      const held = await holdStock(tx, [{ storeId, materialId }]);
      const entry = await held.post(
        {
          id: uuidv7(),
          kind: 'write-off',
          storeId,
          materialId,
          lotId,
          quantity: subtractQuantities('0', request.quantity),
          unitCode,
          observedOn: request.observedOn,
          writeOffRequestId: id,
          documentNumber: request.documentNumber,
          reason: request.reason,
        },
        { storeCode, materialCode, unitCode },
        '',
      );
      return { writeOff: await get(tx, id), entry };
    },
  };
}

/** The request that was recorded with this id, when it is the same one that comes again. */
async function earlierRequest(tx: Tx, input: NewWriteOff): Promise<WriteOff | null> {
  if (input.id === undefined) return null;
  await lockClientId(tx, input.id);
  const earlier = await findWriteOff(tx, input.id);
  const isSame =
    earlier?.storeId === input.storeId &&
    earlier.materialId === input.materialId &&
    compareQuantities(earlier.quantity, input.quantity) === 0;
  if (earlier === null || isSame) return earlier;
  throw new DomainError('conflict', {
    detail: `Write-off ${input.id} was asked for with other contents.`,
  });
}
