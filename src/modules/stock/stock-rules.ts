import {
  compareQuantities,
  subtractQuantities,
  sumQuantities,
} from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError, invalidContent, ruleBroken } from '../../domain/errors.ts';
import { lockOrderLine } from './order-receipts.ts';
import {
  findBuild,
  findMaterial,
  findStoreCode,
  lockQuantityAtBuild,
  type StockedMaterial,
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
export async function requireStockedMaterial(tx: Tx, materialId: string): Promise<StockedMaterial> {
  const material = await findMaterial(tx, materialId);
  if (!material) throw unknownReference('/materialId', 'material', materialId);
  if (material.category === 'labour') {
    throw ruleBroken('labour-not-stocked', `${material.code} is labour; no store holds it.`);
  }
  return material;
}

/** The code of a store that exists. */
export async function requireStore(tx: Tx, storeId: string, pointer: string): Promise<string> {
  const code = await findStoreCode(tx, storeId);
  if (code === null) throw unknownReference(pointer, 'store', storeId);
  return code;
}

/** Nothing is issued to a build that was cancelled. */
export async function requireBuildAtWork(tx: Tx, buildId: string): Promise<void> {
  const build = await findBuild(tx, buildId);
  if (!build) throw unknownReference('/buildId', 'build', buildId);
  if (build.cancelled_on !== null) {
    throw ruleBroken(
      'build-cancelled',
      `${build.code} was cancelled on ${build.cancelled_on}; nothing more is issued to it.`,
    );
  }
}

/** A build returns no more than it was issued. */
export async function requireIssuedBefore(
  tx: Tx,
  { buildId, materialId, quantity }: { buildId: string; materialId: string; quantity: string },
): Promise<void> {
  const build = await findBuild(tx, buildId);
  if (!build) throw unknownReference('/buildId', 'build', buildId);
  const atBuild = await lockQuantityAtBuild(tx, buildId, materialId);
  if (compareQuantities(quantity, atBuild) <= 0) return;
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

/** The balance after an entry must not be below zero. The balance must be locked. */
export function requireInStock(entry: {
  readonly balance: string;
  /** Signed. */
  readonly quantity: string;
  readonly material: StockedMaterial;
  readonly materialId: string;
  readonly storeId: string;
  readonly storeCode: string;
}): void {
  const { balance, quantity, material, materialId, storeId, storeCode } = entry;
  if (compareQuantities(sumQuantities([balance, quantity]), '0') >= 0) return;
  const wanted = subtractQuantities('0', quantity);
  const detail = `Store ${storeCode} holds ${balance} ${material.unit_code} of ${material.code}; ${wanted} ${material.unit_code} were wanted.`;
  throw new DomainError('rule-broken', {
    rule: 'stock-below-zero',
    detail,
    errors: [
      { pointer: '/quantity', code: 'stock.below-zero', message: detail, rejectedValue: wanted },
    ],
    extra: {
      stock: {
        storeId,
        storeCode,
        materialId,
        materialCode: material.code,
        unitCode: material.unit_code,
        balance,
        wanted,
      },
    },
  });
}
