import type { Tx } from '../../db/database.ts';

/** Says whether materials may go to a village: refuses while the village's own inputs are not there. */
export interface DispatchGate {
  requireOpen(tx: Tx, villageId: string, programmeId: string): Promise<void>;
}

const LIVE_PROGRAMMES_SQL = `
  select distinct programme_id as id from build
  where organisation_id = $1 and village_id = $2 and cancelled_on is null and handed_over_on is null
  order by programme_id`;

/** Goods for a store that stands in a village pass the gate of every programme that builds there. */
export async function requireOpenForStore(
  tx: Tx,
  gate: DispatchGate | undefined,
  villageId: string | null,
): Promise<void> {
  if (gate === undefined || villageId === null) return;
  const programmes = await tx.sql<{ id: string }>(LIVE_PROGRAMMES_SQL, [
    tx.organisationId,
    villageId,
  ]);
  for (const { id } of programmes) await gate.requireOpen(tx, villageId, id);
}
