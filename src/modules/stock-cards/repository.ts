import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

const NAMES_SQL = `
  select s.code as "storeCode", m.code as "materialCode"
  from store s left join material m on m.organisation_id = s.organisation_id and m.id = $3
  where s.organisation_id = $1 and s.id = $2`;

// In the order of recording, in which no balance was ever below zero.
const ENTRIES_SQL = `
  select e.observed_on, e.recorded_at, e.kind, e.document_number, l.code as lot_code,
    l.manufactured_on, l.certificate_number, e.quantity, e.unit_code, b.code as build_code,
    c.code as counterpart_store_code, e.stage_code, e.reason, e.recorded_by_id,
    sum(e.quantity) over (order by e.recorded_at, e.id) as balance,
    case when e.lot_id is not null
      then sum(e.quantity) over (partition by e.lot_id order by e.recorded_at, e.id) end as lot_balance
  from stock_entry e
    left join stock_lot l on l.organisation_id = e.organisation_id and l.id = e.lot_id
    left join build b on b.organisation_id = e.organisation_id and b.id = e.build_id
    left join store c on c.organisation_id = e.organisation_id and c.id = e.counterpart_store_id
  where e.organisation_id = $1 and e.store_id = $2 and e.material_id = $3
  order by e.recorded_at, e.id limit $4`;

interface EntryRow {
  observed_on: string;
  recorded_at: string;
  kind: string;
  document_number: string;
  lot_code: string | null;
  manufactured_on: string | null;
  certificate_number: string | null;
  quantity: string;
  unit_code: string;
  build_code: string | null;
  counterpart_store_code: string | null;
  stage_code: string | null;
  reason: string;
  recorded_by_id: string;
  balance: string;
  lot_balance: string | null;
}

/** One line of a stock card. */
export interface CardLine {
  readonly observedOn: string;
  readonly recordedAt: string;
  readonly kind: string;
  readonly documentNumber: string;
  readonly lotCode: string | null;
  readonly manufacturedOn: string | null;
  readonly certificateNumber: string | null;
  /** The build or the other store. */
  readonly counterpart: string | null;
  readonly stageCode: string | null;
  readonly inQuantity: string | null;
  readonly outQuantity: string | null;
  readonly unitCode: string;
  /** Of the store and material after this line. */
  readonly balance: string;
  /** Of the lot in the store after this line. */
  readonly lotBalance: string | null;
  readonly reason: string;
  readonly recordedById: string;
}

/** Codes of a store and a material; null where there is none. */
export async function findNames(
  tx: Tx,
  storeId: string,
  materialId: string,
): Promise<{ storeCode: string; materialCode: string | null } | null> {
  const values = [tx.organisationId, storeId, materialId];
  const [row] = await tx.sql<{ storeCode: string; materialCode: string | null }>(NAMES_SQL, values);
  return row ?? null;
}

/** The entries of one store and material from the first on. */
export async function findCardLines(
  tx: Tx,
  storeId: string,
  materialId: string,
  limit: number,
): Promise<CardLine[]> {
  const values = [tx.organisationId, storeId, materialId, limit];
  return (await tx.sql<EntryRow>(ENTRIES_SQL, values)).map(toLine);
}

function toLine(row: EntryRow): CardLine {
  const quantity = quantityText(row.quantity);
  const isOut = quantity.startsWith('-');
  return {
    observedOn: row.observed_on,
    recordedAt: row.recorded_at,
    kind: row.kind,
    documentNumber: row.document_number,
    lotCode: row.lot_code,
    manufacturedOn: row.manufactured_on,
    certificateNumber: row.certificate_number,
    counterpart: row.build_code ?? row.counterpart_store_code,
    stageCode: row.stage_code,
    inQuantity: isOut ? null : quantity,
    outQuantity: isOut ? quantity.slice(1) : null,
    unitCode: row.unit_code,
    balance: quantityText(row.balance),
    lotBalance: row.lot_balance === null ? null : quantityText(row.lot_balance),
    reason: row.reason,
    recordedById: row.recorded_by_id,
  };
}
