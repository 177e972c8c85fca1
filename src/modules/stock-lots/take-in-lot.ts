import { v7 as uuidv7 } from 'uuid';
import { lotExpiresOn } from '../../../shared/procurement/lot-standing.ts';
import { CEMENT_TEST_AFTER_DAYS } from '../../../shared/takeoff/cement-age.ts';
import type { Tx } from '../../db/database.ts';
import { type FieldError, invalidContent } from '../../domain/errors.ts';
import {
  findLot,
  findLotByCode,
  findLotMaterial,
  insertLotIfNew,
  type LotInsert,
  type LotMaterial,
  type LotRow,
} from './repository.ts';

export interface LotIdentity {
  readonly code: string;
  readonly manufacturedOn?: string | undefined;
  readonly certificateNumber?: string | undefined;
  readonly treatedOn?: string | undefined;
  readonly supplierId?: string | undefined;
}

/** A lot that a receipt brings: one that is known, or what makes it known. */
export type LotOfReceipt = { readonly id: string } | LotIdentity;

const missing = (pointer: string, message: string): FieldError => ({
  pointer,
  code: 'lot.identity-missing',
  message,
});

/** Refuses a lot that lacks what tells lots of its material apart. */
export function requireLotIdentity(
  material: LotMaterial,
  lot: LotIdentity,
  today: string,
  pointer = '',
): void {
  const errors: FieldError[] = [];
  if (material.lotIdentity === 'manufacture-date' && lot.manufacturedOn === undefined) {
    errors.push(
      missing(
        `${pointer}/manufacturedOn`,
        `is needed: lots of ${material.code} are told apart by their date of manufacture`,
      ),
    );
  }
  if (material.lotIdentity === 'treatment-certificate' && lot.certificateNumber === undefined) {
    errors.push(
      missing(
        `${pointer}/certificateNumber`,
        `is needed: lots of ${material.code} are told apart by the certificate of their treatment`,
      ),
    );
  }
  for (const field of ['manufacturedOn', 'treatedOn'] as const) {
    const day = lot[field];
    if (day === undefined || day <= today) continue;
    errors.push({
      pointer: `${pointer}/${field}`,
      code: 'date.in-future',
      message: `must not be after today, ${today}`,
      rejectedValue: day,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
}

/** Columns of a new lot, with the last day on which it is used without a test. */
export function toLotInsert(
  material: LotMaterial,
  lot: LotIdentity & { readonly id?: string | undefined; readonly remarks?: string },
): LotInsert {
  const keepsDays =
    material.shelfLifeDays ?? (material.category === 'binder' ? CEMENT_TEST_AFTER_DAYS : null);
  return {
    id: lot.id ?? uuidv7(),
    materialId: material.id,
    code: lot.code,
    supplierId: lot.supplierId ?? null,
    manufacturedOn: lot.manufacturedOn ?? null,
    expiresOn:
      lot.manufacturedOn !== undefined && keepsDays !== null
        ? lotExpiresOn(lot.manufacturedOn, keepsDays)
        : null,
    certificateNumber: lot.certificateNumber ?? null,
    treatedOn: lot.treatedOn ?? null,
    remarks: lot.remarks ?? '',
  };
}

/**
 * The lot that a receipt names: found by its id or its code, or made. A lot that is known under the
 * code must have the same dates and certificate.
 */
export async function takeInLot(
  tx: Tx,
  materialId: string,
  lot: LotOfReceipt,
  { today, pointer }: { readonly today: string; readonly pointer: string },
): Promise<string> {
  if ('id' in lot) return (await requireLotOf(tx, materialId, lot.id, `${pointer}/id`)).id;
  const material = await findLotMaterial(tx, materialId);
  if (!material) throw unknownMaterial(materialId);
  const known = await findLotByCode(tx, materialId, lot.code);
  if (known) return sameLot(known, lot, pointer);
  requireLotIdentity(material, lot, today, pointer);
  const made = toLotInsert(material, lot);
  if (await insertLotIfNew(tx, made)) {
    await tx.audit('create', 'stock lot', made.id, { ...lot, materialId });
    return made.id;
  }
  const other = await findLotByCode(tx, materialId, lot.code);
  if (!other) throw new Error('A lot clashed with one that is not there');
  return sameLot(other, lot, pointer);
}

/** A lot of that material; the refusal names the field. */
export async function requireLotOf(
  tx: Tx,
  materialId: string,
  lotId: string,
  pointer: string,
): Promise<LotRow> {
  const lot = await findLot(tx, lotId);
  if (lot && lot.materialId === materialId) return lot;
  throw invalidContent([
    {
      pointer,
      code: lot ? 'lot.other-material' : 'reference.unknown',
      message: lot
        ? `is a lot of ${lot.materialCode}, not of this material`
        : 'names a lot that does not exist',
      rejectedValue: lotId,
    },
  ]);
}

export const unknownMaterial = (materialId: string) =>
  invalidContent([
    {
      pointer: '/materialId',
      code: 'reference.unknown',
      message: 'names a material that does not exist',
      rejectedValue: materialId,
    },
  ]);

function sameLot(known: LotRow, lot: LotIdentity, pointer: string): string {
  const errors: FieldError[] = [];
  for (const field of ['manufacturedOn', 'certificateNumber', 'treatedOn'] as const) {
    const given = lot[field];
    if (given === undefined || given === known[field]) continue;
    errors.push({
      pointer: `${pointer}/${field}`,
      code: 'lot.differs',
      message: `differs from lot ${known.code} as it is known: ${known[field] ?? 'none'}`,
      rejectedValue: given,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
  return known.id;
}
