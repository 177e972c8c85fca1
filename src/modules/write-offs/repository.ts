import type {
  NewWriteOff,
  NewWriteOffDecision,
  WriteOff,
} from '../../../shared/contract/write-off.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const INSERT_SQL = `
  insert into write_off_request (organisation_id, id, store_id, material_id, lot_id, quantity, unit_code,
    observed_on, reason, document_number, requested_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`;

const DECIDE_SQL = `
  insert into write_off_decision (organisation_id, request_id, decision, remarks, requested_by_id, decided_by_id)
  values ($1, $2, $3, $4, $5, $6)`;

const COLUMNS = `
  r.id, r.store_id as "storeId", s.code as "storeCode", r.material_id as "materialId", m.code as "materialCode",
  r.lot_id as "lotId", l.code as "lotCode", r.quantity, r.unit_code as "unitCode", r.observed_on as "observedOn",
  r.reason, r.document_number as "documentNumber", r.requested_by_id as "requestedById",
  r.requested_at as "requestedAt", coalesce(d.decision, 'requested') as state, d.remarks as "decisionRemarks",
  d.decided_by_id as "decidedById", d.decided_at as "decidedAt"`;

const TABLES = `
  join store s on s.organisation_id = r.organisation_id and s.id = r.store_id
  join material m on m.organisation_id = r.organisation_id and m.id = r.material_id
  left join stock_lot l on l.organisation_id = r.organisation_id and l.id = r.lot_id
  left join write_off_decision d on d.organisation_id = r.organisation_id and d.request_id = r.id`;

const ONE_SQL = `
  select ${COLUMNS} from write_off_request r ${TABLES} where r.organisation_id = $1 and r.id = $2`;

const LIST_SQL = `
  select ${COLUMNS} from write_off_request r ${TABLES}
  where r.organisation_id = $1
    and ($2::uuid is null or r.store_id = $2)
    and ($3::text is null or coalesce(d.decision, 'requested') = $3)
    and ($4::timestamptz is null or (r.requested_at, r.id) > ($4, $5::uuid))
  order by r.requested_at, r.id limit $6`;

const toWriteOff = (row: WriteOff): WriteOff => ({ ...row, quantity: quantityText(row.quantity) });

export async function insertRequest(
  tx: Tx,
  id: string,
  unitCode: string,
  request: NewWriteOff,
): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    request.storeId,
    request.materialId,
    request.lotId ?? null,
    request.quantity,
    unitCode,
    request.observedOn,
    request.reason,
    request.documentNumber,
    tx.actor.personId,
  ]);
}

/** Two who decide at once: the second is refused by the key. */
export async function insertDecision(
  tx: Tx,
  request: WriteOff,
  { decision, remarks }: NewWriteOffDecision,
): Promise<void> {
  await tx.sql(DECIDE_SQL, [
    tx.organisationId,
    request.id,
    decision,
    remarks,
    request.requestedById,
    tx.actor.personId,
  ]);
}

export async function findWriteOff(tx: Tx, id: string): Promise<WriteOff | null> {
  const [row] = await tx.sql<WriteOff>(ONE_SQL, [tx.organisationId, id]);
  return row ? toWriteOff(row) : null;
}

export interface WriteOffFilter {
  readonly limit: number;
  readonly cursor?: string | undefined;
  readonly storeId?: string | undefined;
  readonly state?: WriteOff['state'] | undefined;
}

export async function listWriteOffs(
  tx: Tx,
  { limit, cursor, ...filter }: WriteOffFilter,
): Promise<Page<WriteOff>> {
  const list = `write-offs?${JSON.stringify(filter)}`;
  const [requestedAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<WriteOff>(LIST_SQL, [
    tx.organisationId,
    filter.storeId ?? null,
    filter.state ?? null,
    requestedAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.requestedAt, row.id], toWriteOff);
}
