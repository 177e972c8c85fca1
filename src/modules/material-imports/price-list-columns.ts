import { newOffer, packCode, pricePerPack } from '../../../shared/contract/offer.ts';
import { code, currency, positiveDecimal } from '../../../shared/contract/values.ts';
import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import type { RowCheck } from '../../imports/check-file.ts';
import {
  choiceCell,
  decimalCell,
  type FileShape,
  numberCell,
  textCell,
} from '../../imports/column.ts';
import { type Read, readDate, readDecimal } from '../../workers/tables/cell-values.ts';

/** What a row of a price list says; null where a cell is empty or the column is not there. */
export interface PriceListCells {
  readonly supplierCode: string;
  readonly materialCode: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly pricePerPack: string;
  readonly currency: string;
  readonly minimumPacks: number | null;
  readonly maximumPacks: number | null;
  readonly orderCost: string | null;
  readonly leadDays: number;
  readonly validFrom: string;
  readonly validUntil: string;
  readonly priceBreaks: readonly PriceBreak[] | null;
  readonly breakRule: BreakRule | null;
}

const offer = newOffer.shape;
const PACK = /^(\d{1,7})\s*=\s*(\S+)$/;
const BREAKS_HINT = 'write packs and price, such as 10=4.20;50=3.95';

function readBreaks(cell: string): Read<PriceBreak[]> {
  const breaks: PriceBreak[] = [];
  for (const part of cell.split(';')) {
    const [, packs, price] = PACK.exec(part.trim()) ?? [];
    if (packs === undefined || price === undefined) {
      return { fault: { code: 'breaks.unreadable', hint: BREAKS_HINT } };
    }
    const read = readDecimal(price);
    if ('fault' in read) return read;
    breaks.push({ fromPacks: Number(packs), pricePerPack: read.value });
  }
  return { value: breaks };
}

/** The pack codes are in capitals; people write them in either case. */
const packCell = (cell: string) => textCell(packCode)(cell.toUpperCase());

export const PRICE_LIST_SHAPE: FileShape<keyof PriceListCells> = {
  noun: 'price lists',
  columns: [
    { name: 'supplier_code', field: 'supplierCode', isRequired: true, read: textCell(code) },
    { name: 'material_code', field: 'materialCode', isRequired: true, read: textCell(code) },
    { name: 'pack_code', field: 'packCode', isRequired: true, read: packCell },
    {
      name: 'pack_content',
      field: 'packContent',
      isRequired: true,
      read: decimalCell(positiveDecimal),
    },
    {
      name: 'price_per_pack',
      field: 'pricePerPack',
      isRequired: true,
      read: decimalCell(pricePerPack),
    },
    { name: 'currency', field: 'currency', isRequired: true, read: textCell(currency) },
    { name: 'minimum_packs', field: 'minimumPacks', read: numberCell(offer.minimumPacks) },
    { name: 'maximum_packs', field: 'maximumPacks', read: numberCell(offer.maximumPacks) },
    { name: 'order_cost', field: 'orderCost', read: decimalCell(offer.orderCost) },
    { name: 'lead_days', field: 'leadDays', isRequired: true, read: numberCell(offer.leadDays) },
    { name: 'valid_from', field: 'validFrom', isRequired: true, read: readDate },
    { name: 'valid_until', field: 'validUntil', isRequired: true, read: readDate },
    { name: 'breaks', field: 'priceBreaks', read: readBreaks },
    {
      name: 'break_rule',
      field: 'breakRule',
      read: choiceCell({ options: ['all-units', 'incremental'] }),
    },
  ],
  synonyms: {
    supplier: 'supplier_code',
    material: 'material_code',
    item: 'material_code',
    pack: 'pack_code',
    content: 'pack_content',
    price: 'price_per_pack',
    unit_price: 'price_per_pack',
    minimum: 'minimum_packs',
    min_packs: 'minimum_packs',
    maximum: 'maximum_packs',
    max_packs: 'maximum_packs',
    delivery_days: 'lead_days',
    lead_time: 'lead_days',
    from: 'valid_from',
    until: 'valid_until',
    valid_to: 'valid_until',
    price_breaks: 'breaks',
  },
};

/** The terms of a row as an offer takes them; breaks without a rule count for all units. */
export function offerTermsOf(cells: PriceListCells) {
  const priceBreaks = [...(cells.priceBreaks ?? [])];
  const impliedRule: BreakRule | null = priceBreaks.length > 0 ? 'all-units' : null;
  return {
    packCode: cells.packCode,
    packContent: cells.packContent,
    pricePerPack: cells.pricePerPack,
    currency: cells.currency,
    minimumPacks: cells.minimumPacks ?? 1,
    maximumPacks: cells.maximumPacks ?? null,
    orderCost: cells.orderCost ?? '0',
    leadDays: cells.leadDays,
    validFrom: cells.validFrom,
    validUntil: cells.validUntil,
    priceBreaks,
    breakRule: cells.breakRule ?? impliedRule,
  };
}

const SOME_ID = '00000000-0000-4000-8000-000000000000';

/** Holds a whole row against what offers must keep. */
export const checkPriceRow: RowCheck = (cells) => {
  const terms = offerTermsOf(cells as unknown as PriceListCells);
  const checked = newOffer.safeParse({ ...terms, supplierId: SOME_ID, materialId: SOME_ID });
  if (checked.success) return [];
  return checked.error.issues
    .filter(({ path }) => cells[String(path[0])] !== null || path[0] === 'breakRule')
    .map(({ path, message }) => ({
      field: String(path[0]),
      code: 'value.out-of-range',
      hint: path.length > 2 ? `break ${Number(path[1]) + 1}: ${message}` : message,
    }));
};
