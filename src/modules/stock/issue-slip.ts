import { v7 as uuidv7 } from 'uuid';
import type { NewStockIssue, StockEntry, StockIssue } from '../../../shared/contract/stock.ts';
import {
  compareQuantities,
  subtractQuantities,
  sumQuantities,
} from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { requireLotOf } from '../stock-lots/take-in-lot.ts';
import { lockClientId } from './client-id.ts';
import { holdStock } from './held-stock.ts';
import { splitOverLots } from './lot-choice.ts';
import { findIssue } from './repository.ts';
import { requireBuildAtWork, requireStockedMaterial, requireStore } from './stock-rules.ts';
import type { StockParts } from './use-cases.ts';

/**
 * Issues several materials to a build on one slip, all or nothing; what names no lot is taken first
 * expiring first. A slip that is sent again with its id counts once.
 */
export async function issueSlip(
  tx: Tx,
  { clock, gate }: StockParts,
  input: NewStockIssue,
): Promise<StockIssue> {
  const { id = uuidv7(), storeId, buildId, observedOn, documentNumber, lines } = input;
  refuseFutureDate(clock, '/observedOn', observedOn);
  if (input.id !== undefined) {
    await lockClientId(tx, id);
    const earlier = await findIssue(tx, id);
    if (earlier.length > 0) return sameSlip(earlier, { ...input, id });
  }
  const store = await requireStore(tx, storeId, '/storeId');
  const build = await requireBuildAtWork(tx, buildId);
  await gate?.requireOpen(tx, build.village_id, build.programme_id);
  const named = [];
  for (const [index, line] of lines.entries()) {
    const pointer = `/lines/${index}`;
    const material = await requireStockedMaterial(tx, line.materialId, `${pointer}/materialId`);
    if (typeof line.lotId === 'string') {
      await requireLotOf(tx, line.materialId, line.lotId, `${pointer}/lotId`);
    }
    named.push({ line, material, pointer });
  }
  const held = await holdStock(
    tx,
    lines.map(({ materialId }) => ({ storeId, materialId })),
  );
  const entries: StockEntry[] = [];
  for (const { line, material, pointer } of named) {
    const card = { storeId, materialId: line.materialId };
    const name = {
      storeCode: store.code,
      materialCode: material.code,
      unitCode: material.unit_code,
    };
    const parts = splitOverLots(held, card, {
      wanted: line.quantity,
      lotId: line.lotId,
      on: observedOn,
      name,
      pointer,
    });
    for (const part of parts) {
      const posting = {
        ...card,
        id: uuidv7(),
        kind: 'issue' as const,
        quantity: subtractQuantities('0', part.quantity),
        unitCode: material.unit_code,
        observedOn,
        buildId,
        lotId: part.lotId,
        stageCode: line.stageCode ?? null,
        issueId: id,
        documentNumber,
        reason: '',
      };
      entries.push(await held.post(posting, name, `${pointer}/quantity`));
    }
  }
  await tx.audit('issue', 'stock issue', id, input);
  return { id, storeId, buildId, observedOn, documentNumber, entries };
}

/** The slip as it was recorded, when it is the same one that comes again. */
function sameSlip(
  entries: readonly StockEntry[],
  { id, storeId, buildId, observedOn, documentNumber, lines }: NewStockIssue & { id: string },
): StockIssue {
  const total = (of: readonly { materialId: string; quantity: string }[], materialId: string) =>
    sumQuantities(of.flatMap((each) => (each.materialId === materialId ? [each.quantity] : [])));
  const materialIds = new Set([...entries, ...lines].map(({ materialId }) => materialId));
  const isSame =
    entries.every((entry) => entry.storeId === storeId && entry.buildId === buildId) &&
    [...materialIds].every(
      (materialId) =>
        compareQuantities(
          sumQuantities([total(entries, materialId), total(lines, materialId)]),
          '0',
        ) === 0,
    );
  if (isSame) return { id, storeId, buildId, observedOn, documentNumber, entries: [...entries] };
  throw new DomainError('conflict', {
    detail: `Issue slip ${id} was recorded with other contents.`,
  });
}
