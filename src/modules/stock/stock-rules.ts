import { compareQuantities, sumQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent, ruleBroken } from '../../domain/errors.ts';
import { lockQuantityAtBuild } from './card-locks.ts';
import { lockOrderLine } from './order-receipts.ts';
import {
  type BuildAtWork,
  findBuild,
  findMaterial,
  findStore,
  type StockedMaterial,
  type StoreOfStock,
} from './repository.ts';

/** Orders that goods may arrive for; a whole one may still get an excess, with its reason. */
const RECEIVABLE = new Set(['placed', 'partly-received', 'received']);

const unknownReference = (pointer: string, noun: string, rejectedValue: string) =>
  invalidContent([
    {
      pointer,
      code: 'reference.unknown',
      message: `names a ${noun} that does not exist`,
      rejectedValue,
    },
  ]);

/** A material that can lie in a store. */
export async function requireStockedMaterial(
  tx: Tx,
  materialId: string,
  pointer = '/materialId',
): Promise<StockedMaterial> {
  const material = await findMaterial(tx, materialId);
  if (!material) throw unknownReference(pointer, 'material', materialId);
  if (material.category === 'labour') {
    throw ruleBroken('labour-not-stocked', `${material.code} is labour; no store holds it.`);
  }
  return material;
}

/** A store that exists. */
export async function requireStore(
  tx: Tx,
  storeId: string,
  pointer: string,
): Promise<StoreOfStock> {
  const store = await findStore(tx, storeId);
  if (!store) throw unknownReference(pointer, 'store', storeId);
  return store;
}

/** Nothing is issued to a build that was cancelled. */
export async function requireBuildAtWork(tx: Tx, buildId: string): Promise<BuildAtWork> {
  const build = await findBuild(tx, buildId);
  if (!build) throw unknownReference('/buildId', 'build', buildId);
  if (build.cancelled_on !== null) {
    throw ruleBroken(
      'build-cancelled',
      `${build.code} was cancelled on ${build.cancelled_on}; nothing more is issued to it.`,
    );
  }
  return build;
}

/**
 * A build returns no more than it was issued, of each lot.
 *
 * @returns the lot that is returned: the one named, or the only one that the build holds
 */
export async function requireIssuedBefore(
  tx: Tx,
  back: {
    readonly buildId: string;
    readonly materialId: string;
    readonly quantity: string;
    readonly lotId?: string | null | undefined;
  },
): Promise<string | null> {
  const { buildId, materialId, quantity } = back;
  const build = await findBuild(tx, buildId);
  if (!build) throw unknownReference('/buildId', 'build', buildId);
  const lots = await lockQuantityAtBuild(tx, buildId, materialId);
  if (back.lotId === undefined && lots.length > 1) {
    const held = lots.map((lot) => `${lot.quantity} of ${lot.code ?? 'no lot'}`).join(', ');
    throw invalidContent([
      {
        pointer: '/lotId',
        code: 'lot.missing',
        message: `is needed: ${build.code} holds ${held}`,
      },
    ]);
  }
  const lot = back.lotId === undefined ? lots[0] : lots.find(({ lotId }) => lotId === back.lotId);
  const atBuild = lot?.quantity ?? '0';
  if (compareQuantities(quantity, atBuild) <= 0) return lot?.lotId ?? null;
  const detail = `${build.code} holds ${atBuild} of this material from the stores and cannot return ${quantity}.`;
  throw ruleBroken('return-within-issued', detail, [
    { pointer: '/quantity', code: 'return.above-issued', message: detail, rejectedValue: quantity },
  ]);
}

/** A receipt matches a placed order line and its quantity. Returns the order. */
export async function requireOrdered(
  tx: Tx,
  receipt: {
    orderLineId: string;
    materialId: string;
    quantity: string;
    excessReason?: string | undefined;
  },
): Promise<string> {
  const line = await lockOrderLine(tx, receipt.orderLineId);
  if (!line) throw unknownReference('/orderLineId', 'order line', receipt.orderLineId);
  if (line.material_id !== receipt.materialId) {
    throw invalidContent([
      {
        pointer: '/materialId',
        code: 'material.not-ordered',
        message: `is not the material of that line of order ${line.order_code}`,
        rejectedValue: receipt.materialId,
      },
    ]);
  }
  if (!RECEIVABLE.has(line.status)) {
    throw ruleBroken(
      'order-not-placed',
      `Order ${line.order_code} is ${line.status}; goods are received for placed orders.`,
    );
  }
  const received = sumQuantities([line.received, receipt.quantity]);
  if (compareQuantities(received, line.ordered) > 0 && receipt.excessReason === undefined) {
    const detail = `Order ${line.order_code} has ${line.ordered} of it, of which ${line.received} were received; ${receipt.quantity} more is above the order. Say why in excessReason to take it in.`;
    throw ruleBroken('received-within-ordered', detail, [
      {
        pointer: '/quantity',
        code: 'received.above-ordered',
        message: detail,
        rejectedValue: receipt.quantity,
      },
    ]);
  }
  return line.order_id;
}
