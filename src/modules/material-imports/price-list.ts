import { v7 as uuidv7 } from 'uuid';
import type { CheckedRow } from '../../imports/check-file.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';
import type { DoneRow, ImportKind } from './import-kind.ts';
import { knownCodes } from './known-codes.ts';
import { changesBetween, type OfferTerms, overlap } from './offer-terms.ts';
import { type ExistingOffer, lockOffers, replaceOffers } from './offers-repository.ts';
import { offerTermsOf, type PriceListCells } from './price-list-columns.ts';

interface ReadRow {
  readonly line: number;
  readonly label: string;
  readonly supplierId: string;
  readonly materialId: string;
  readonly terms: OfferTerms;
}

/**
 * Price lists: each row is an offer. One that stands already is left; a new one ends the offers of the
 * same supplier, material and pack that would hold beside it, from its first day.
 */
export const priceListKind: ImportKind = {
  kind: 'price-list',
  noun: 'price list',
  maxRows: 20_000,
  changing: 'Offers, suppliers or materials',
  read: 'materials:read',
  write: 'materials:write',
  async run(tx, importId, rows, errors) {
    const suppliers = await knownCodes(tx, 'supplier');
    const materials = await knownCodes(tx, 'material');
    const read = rows.flatMap(({ line, cells, isGood }: CheckedRow): ReadRow[] => {
      const supplierId = suppliers.idOf(line, cells.supplierCode, errors);
      const materialId = materials.idOf(line, cells.materialCode, errors);
      if (!isGood || supplierId === null || materialId === null) return [];
      const row = cells as unknown as PriceListCells;
      const label = `${row.supplierCode} ${row.materialCode} ${row.packCode} ${row.packContent}`;
      return [{ line, label, supplierId, materialId, terms: offerTermsOf(row) }];
    });
    const existing = await lockOffers(
      tx,
      [...new Set(read.map(({ supplierId }) => supplierId))],
      [...new Set(read.map(({ materialId }) => materialId))],
    );
    const judged = judge(read, existing, errors);
    const made = judged.filter(({ same }) => same === null);
    const withdrawnOn = new Map<string, string>();
    for (const { row, replaced } of made) {
      for (const { id } of replaced) {
        const day = withdrawnOn.get(id);
        if (day === undefined || row.terms.validFrom < day) {
          withdrawnOn.set(id, row.terms.validFrom);
        }
      }
    }
    const inserted = made.map(({ row }) => ({
      id: uuidv7(),
      supplierId: row.supplierId,
      materialId: row.materialId,
      ...row.terms,
    }));
    await replaceOffers(tx, importId, inserted, withdrawnOn);
    return judged.map(doneRow);
  },
};

interface JudgedRow {
  readonly row: ReadRow;
  /** The offer that says the same already. */
  readonly same: ExistingOffer | null;
  /** Offers that end where this one begins, the latest last. */
  readonly replaced: readonly ExistingOffer[];
}

function judge(
  rows: readonly ReadRow[],
  existing: readonly ExistingOffer[],
  errors: ImportErrors,
): JudgedRow[] {
  const offersByPack = grouped(existing, (offer) => packOf(offer, offer));
  const rowsByPack = grouped(rows, (row) => packOf(row, row.terms));
  const judgedByLine = new Map<number, JudgedRow>();
  for (const [pack, ofPack] of rowsByPack) {
    const offers = offersByPack.get(pack) ?? [];
    const taken = new Map<string, number>();
    const fresh: ReadRow[] = [];
    for (const row of ofPack) {
      const same = offers.find((offer) => changesBetween(offer, row.terms).length === 0) ?? null;
      if (same) {
        taken.set(same.id, row.line);
        judgedByLine.set(row.line, { row, same, replaced: [] });
      } else {
        fresh.push(row);
      }
    }
    for (const { row, replaced } of judgeFresh(fresh, offers, taken, errors)) {
      judgedByLine.set(row.line, { row, same: null, replaced });
    }
  }
  return rows.flatMap(({ line }) => judgedByLine.get(line) ?? []);
}

/** New rows of one pack: no two of a file hold together, nor one beside an offer that the file keeps. */
function judgeFresh(
  fresh: readonly ReadRow[],
  offers: readonly ExistingOffer[],
  taken: ReadonlyMap<string, number>,
  errors: ImportErrors,
) {
  const good: { row: ReadRow; replaced: ExistingOffer[] }[] = [];
  const byStart = [...fresh].sort(
    (a, b) => compare(a.terms.validFrom, b.terms.validFrom) || a.line - b.line,
  );
  let longest: ReadRow | null = null;
  for (const row of byStart) {
    const beside = offers
      .filter((offer) => overlap(offer, row.terms))
      .sort((a, b) => compare(a.validFrom, b.validFrom));
    const kept = beside.map(({ id }) => taken.get(id)).find((line) => line !== undefined);
    const other = longest && overlap(longest.terms, row.terms) ? longest.line : kept;
    if (other !== undefined) {
      const hint = `holds at the same time as line ${other}, for the same supplier, material and pack`;
      errors.add(row.line, 'valid_from', { code: 'row.overlaps', hint }, row.terms.validFrom);
    } else {
      good.push({ row, replaced: beside });
    }
    if (!longest || row.terms.validUntil > longest.terms.validUntil) longest = row;
  }
  return good;
}

function grouped<Item>(items: readonly Item[], keyOf: (item: Item) => string) {
  const groups = new Map<string, Item[]>();
  for (const item of items) {
    const key = keyOf(item);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return groups;
}

const compare = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

const packOf = (
  { supplierId, materialId }: { supplierId: string; materialId: string },
  { packCode, packContent }: Pick<OfferTerms, 'packCode' | 'packContent'>,
) => [supplierId, materialId, packCode, packContent].join(' ');

function doneRow({ row, same, replaced }: JudgedRow): DoneRow {
  const before = same ?? replaced.at(-1) ?? null;
  return {
    line: row.line,
    label: row.label,
    action: same ? 'unchanged' : replaced.length > 0 ? 'update' : 'create',
    changes: changesBetween(before, row.terms),
    touched: [
      row.supplierId,
      row.materialId,
      same?.id ?? null,
      replaced.map(({ id, validUntil }) => [id, validUntil]),
    ],
  };
}
