import type { DeliveryNote, NewDeliveryNote } from '../../../shared/contract/receipt.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

const NOTE_SQL = `
  select n.id, n.order_id as "orderId", o.code as "orderCode", n.note_number as "noteNumber",
    n.dispatched_on as "dispatchedOn", n.dispatched_from as "dispatchedFrom", n.transporter, n.vehicle,
    n.remarks, r.id as "receiptId", n.recorded_by_id as "recordedById", n.recorded_at as "recordedAt"
  from delivery_note n
    join purchase_order o on o.organisation_id = n.organisation_id and o.id = n.order_id
    left join goods_receipt r on r.organisation_id = n.organisation_id and r.delivery_note_id = n.id
  where n.organisation_id = $1`;

const ONE_SQL = `${NOTE_SQL} and n.id = $2`;
const OF_ORDER_SQL = `${NOTE_SQL} and n.order_id = $2 order by n.dispatched_on, n.id`;

const LINES_SQL = `
  select d.id, d.delivery_note_id, d.order_line_id as "orderLineId", l.material_id as "materialId",
    m.code as "materialCode", l.unit_code as "unitCode", d.dispatched_quantity as "dispatchedQuantity"
  from delivery_note_line d
    join purchase_order_line l on l.organisation_id = d.organisation_id and l.id = d.order_line_id
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where d.organisation_id = $1 and d.delivery_note_id = any($2)
  order by m.code`;

const INSERT_SQL = `
  insert into delivery_note (organisation_id, id, order_id, note_number, dispatched_on, dispatched_from,
    transporter, vehicle, remarks, recorded_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`;

const INSERT_LINES_SQL = `
  insert into delivery_note_line (organisation_id, id, delivery_note_id, order_line_id, dispatched_quantity)
  select $1, gen_random_uuid(), $2, x."orderLineId", x."dispatchedQuantity"
  from jsonb_to_recordset($3::jsonb) as x ("orderLineId" uuid, "dispatchedQuantity" numeric)`;

type NoteRow = Omit<DeliveryNote, 'lines'>;
type NoteLine = DeliveryNote['lines'][number];

async function withLines(tx: Tx, rows: readonly NoteRow[]): Promise<DeliveryNote[]> {
  const lines = await tx.sql<NoteLine & { delivery_note_id: string }>(LINES_SQL, [
    tx.organisationId,
    rows.map(({ id }) => id),
  ]);
  return rows.map((row) => ({
    ...row,
    lines: lines
      .filter((line) => line.delivery_note_id === row.id)
      .map(({ delivery_note_id: _, ...line }) => ({
        ...line,
        dispatchedQuantity: quantityText(line.dispatchedQuantity),
      })),
  }));
}

export async function findNote(tx: Tx, id: string): Promise<DeliveryNote | null> {
  const rows = await tx.sql<NoteRow>(ONE_SQL, [tx.organisationId, id]);
  return (await withLines(tx, rows))[0] ?? null;
}

/** Delivery notes of an order, by the day of dispatch. */
export async function listNotes(tx: Tx, orderId: string): Promise<DeliveryNote[]> {
  return withLines(tx, await tx.sql<NoteRow>(OF_ORDER_SQL, [tx.organisationId, orderId]));
}

export async function insertNote(
  tx: Tx,
  id: string,
  orderId: string,
  { lines, ...note }: NewDeliveryNote,
): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    orderId,
    note.noteNumber,
    note.dispatchedOn,
    note.dispatchedFrom,
    note.transporter,
    note.vehicle,
    note.remarks,
    tx.actor.personId,
  ]);
  await tx.sql(INSERT_LINES_SQL, [tx.organisationId, id, JSON.stringify(lines)]);
}
