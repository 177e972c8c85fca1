import type { NonConformity } from '../../../shared/scheduling/stage-nonconformities.ts';
import type { StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import type { Tx } from '../../db/database.ts';

const DELETE_SQL = 'delete from nonconformity where organisation_id = $1 and build_id = $2';

const INSERT_SQL = `
  insert into nonconformity (organisation_id, build_id, record_id, stage_code, kind, check_code, observed_on,
    detail, state, decision, decided_on, decided_by_id, due_on, cause)
  select $1, $2, entry.*
  from unnest($3::uuid[], $4::text[], $5::text[], $6::text[], $7::date[], $8::text[], $9::text[], $10::text[],
    $11::date[], $12::uuid[], $13::date[], $14::text[]) as entry`;

/**
 * Writes anew what did not pass of a build, as its facts say.
 *
 * @param recordedById who recorded each fact
 */
export async function rewriteNonconformities(
  tx: Tx,
  buildId: string,
  { nonConformities, closedNonConformities }: StageProjection,
  recordedById: ReadonlyMap<string, string>,
): Promise<void> {
  await tx.sql(DELETE_SQL, [tx.organisationId, buildId]);
  const entries = [...nonConformities, ...closedNonConformities];
  if (entries.length === 0) return;
  const column = <Value>(of: (entry: NonConformity) => Value): Value[] => entries.map(of);
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    buildId,
    column(({ recordId }) => recordId),
    column(({ stageCode }) => stageCode),
    column(({ kind }) => kind),
    column(({ checkCode }) => checkCode ?? null),
    column(({ observedOn }) => observedOn),
    column(({ detail }) => detail),
    column(({ state }) => state),
    column(({ decision }) => decision?.decision ?? null),
    column(({ decision }) => decision?.decidedOn ?? null),
    column(({ decision }) => (decision ? (recordedById.get(decision.factId) ?? null) : null)),
    column(({ decision }) => decision?.dueOn ?? null),
    column(({ decision }) => decision?.cause ?? null),
  ]);
}
