import type {
  NewStockArrival,
  NewStockDispatch,
  StockDispatch,
} from '../../../shared/contract/stock-dispatch.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

type Line = StockDispatch['lines'][number];

export interface DispatchLineInsert {
  readonly id: string;
  readonly materialId: string;
  readonly lotId: string | null;
  readonly unitCode: string;
  readonly quantity: string;
}

const INSERT_SQL = `
  insert into stock_dispatch (organisation_id, id, from_store_id, to_store_id, note_number, dispatched_on, vehicle,
    reason, dispatched_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`;

const INSERT_LINE_SQL = `
  insert into stock_dispatch_line (organisation_id, id, dispatch_id, material_id, lot_id, unit_code, dispatched_quantity)
  values ($1, $2, $3, $4, $5, $6, $7)`;

const INSERT_ARRIVAL_SQL = `
  insert into stock_arrival (organisation_id, id, dispatch_id, arrived_on, remarks, received_by_id)
  values ($1, $2, $3, $4, $5, $6)`;

const INSERT_ARRIVAL_LINE_SQL = `
  insert into stock_arrival_line (organisation_id, arrival_id, dispatch_line_id, dispatched_quantity, good_quantity,
    damaged_quantity, missing_quantity, excess_quantity, remarks)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`;

const COLUMNS = `
  d.id, d.from_store_id as "fromStoreId", f.code as "fromStoreCode", d.to_store_id as "toStoreId",
  t.code as "toStoreCode", d.note_number as "noteNumber", d.dispatched_on as "dispatchedOn", d.vehicle, d.reason,
  d.dispatched_by_id as "dispatchedById", d.recorded_at as "recordedAt", a.id as "arrivalId",
  a.arrived_on as "arrivedOn", a.remarks, a.received_by_id as "receivedById", a.recorded_at as "arrivalRecordedAt"`;

const TABLES = `
  join store f on f.organisation_id = d.organisation_id and f.id = d.from_store_id
  join store t on t.organisation_id = d.organisation_id and t.id = d.to_store_id
  left join stock_arrival a on a.organisation_id = d.organisation_id and a.dispatch_id = d.id`;

const ONE_SQL = `select ${COLUMNS} from stock_dispatch d ${TABLES} where d.organisation_id = $1 and d.id = $2`;

const LIST_SQL = `
  select ${COLUMNS} from stock_dispatch d ${TABLES}
  where d.organisation_id = $1
    and ($2::uuid is null or d.from_store_id = $2)
    and ($3::uuid is null or d.to_store_id = $3)
    and ($4::boolean is null or (a.id is null) = $4)
    and ($5::timestamptz is null or (d.recorded_at, d.id) > ($5, $6::uuid))
  order by d.recorded_at, d.id limit $7`;

const LINES_SQL = `
  select l.dispatch_id as "dispatchId", l.id, l.material_id as "materialId", m.code as "materialCode",
    l.lot_id as "lotId", k.code as "lotCode", l.unit_code as "unitCode", l.dispatched_quantity as "dispatchedQuantity",
    al.good_quantity as good, al.damaged_quantity as damaged, al.missing_quantity as missing,
    al.excess_quantity as excess, al.remarks
  from stock_dispatch_line l
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
    left join stock_lot k on k.organisation_id = l.organisation_id and k.id = l.lot_id
    left join stock_arrival a on a.organisation_id = l.organisation_id and a.dispatch_id = l.dispatch_id
    left join stock_arrival_line al on al.organisation_id = a.organisation_id and al.arrival_id = a.id
      and al.dispatch_line_id = l.id
  where l.organisation_id = $1 and l.dispatch_id = any($2::uuid[])
  order by m.code, k.code nulls last, l.id`;

interface DispatchRow extends Omit<StockDispatch, 'lines' | 'arrival'> {
  readonly arrivalId: string | null;
  readonly arrivedOn: string | null;
  readonly remarks: string | null;
  readonly receivedById: string | null;
  readonly arrivalRecordedAt: string | null;
}

interface LineRow extends Omit<Line, 'arrived'> {
  readonly dispatchId: string;
  readonly good: string | null;
  readonly damaged: string;
  readonly missing: string;
  readonly excess: string;
  readonly remarks: string;
}

async function withLines(tx: Tx, rows: readonly DispatchRow[]): Promise<StockDispatch[]> {
  const lines = await tx.sql<LineRow>(LINES_SQL, [tx.organisationId, rows.map(({ id }) => id)]);
  return rows.map(
    ({ arrivalId, arrivedOn, remarks, receivedById, arrivalRecordedAt, ...dispatch }) => ({
      ...dispatch,
      lines: lines.filter(({ dispatchId }) => dispatchId === dispatch.id).map(toLine),
      arrival:
        arrivalId && arrivedOn && receivedById && arrivalRecordedAt
          ? {
              id: arrivalId,
              arrivedOn,
              remarks: remarks ?? '',
              receivedById,
              recordedAt: arrivalRecordedAt,
            }
          : null,
    }),
  );
}

const toLine = ({
  dispatchId: _,
  good,
  damaged,
  missing,
  excess,
  remarks,
  ...line
}: LineRow): Line => ({
  ...line,
  dispatchedQuantity: quantityText(line.dispatchedQuantity),
  arrived:
    good === null
      ? null
      : {
          goodQuantity: quantityText(good),
          damagedQuantity: quantityText(damaged),
          missingQuantity: quantityText(missing),
          excessQuantity: quantityText(excess),
          remarks,
        },
});

export async function insertDispatch(
  tx: Tx,
  id: string,
  input: NewStockDispatch,
  lines: readonly DispatchLineInsert[],
): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    input.fromStoreId,
    input.toStoreId,
    input.noteNumber,
    input.dispatchedOn,
    input.vehicle,
    input.reason,
    tx.actor.personId,
  ]);
  for (const line of lines) {
    await tx.sql(INSERT_LINE_SQL, [
      tx.organisationId,
      line.id,
      id,
      line.materialId,
      line.lotId,
      line.unitCode,
      line.quantity,
    ]);
  }
}

/** Two who report an arrival at once: the second is refused by the key. */
export async function insertArrival(
  tx: Tx,
  id: string,
  dispatch: StockDispatch,
  { arrivedOn, remarks, lines }: NewStockArrival,
): Promise<void> {
  await tx.sql(INSERT_ARRIVAL_SQL, [
    tx.organisationId,
    id,
    dispatch.id,
    arrivedOn,
    remarks,
    tx.actor.personId,
  ]);
  const sent = new Map(dispatch.lines.map((line) => [line.id, line.dispatchedQuantity]));
  for (const line of lines) {
    await tx.sql(INSERT_ARRIVAL_LINE_SQL, [
      tx.organisationId,
      id,
      line.dispatchLineId,
      sent.get(line.dispatchLineId),
      line.goodQuantity,
      line.damagedQuantity,
      line.missingQuantity,
      line.excessQuantity,
      line.remarks,
    ]);
  }
}

export async function findDispatch(tx: Tx, id: string): Promise<StockDispatch | null> {
  const rows = await tx.sql<DispatchRow>(ONE_SQL, [tx.organisationId, id]);
  return (await withLines(tx, rows))[0] ?? null;
}

export interface DispatchFilter {
  readonly limit: number;
  readonly cursor?: string | undefined;
  readonly fromStoreId?: string | undefined;
  readonly toStoreId?: string | undefined;
  readonly isOnTheRoad?: boolean | undefined;
}

export async function listDispatches(
  tx: Tx,
  { limit, cursor, ...filter }: DispatchFilter,
): Promise<Page<StockDispatch>> {
  const list = `stock-dispatches?${JSON.stringify(filter)}`;
  const [recordedAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<DispatchRow>(LIST_SQL, [
    tx.organisationId,
    filter.fromStoreId ?? null,
    filter.toStoreId ?? null,
    filter.isOnTheRoad ?? null,
    recordedAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  const page = toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.recordedAt, row.id],
    (row) => row,
  );
  return { ...page, items: await withLines(tx, page.items) };
}
