import type { NewSeasonPin, SeasonPin } from '../../../shared/contract/season-plan.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const COLUMNS = `
  id, programme_id as "programmeId", build_id as "buildId", stage_code as "stageCode",
  crew_id as "crewId", starts_on as "startsOn", reason, made_by_id as "madeById", made_at as "madeAt",
  ended_at as "endedAt", ended_by_id as "endedById"`;

const LIST_SQL = `
  select ${COLUMNS} from season_pin
  where organisation_id = $1 and ended_at is null and ($2::uuid is null or programme_id = $2)
    and ($3::uuid is null or build_id = $3)
    and ($4::timestamptz is null or (made_at, id) > ($4, $5::uuid))
  order by made_at, id limit $6`;

const ONE_SQL = `select ${COLUMNS} from season_pin where organisation_id = $1 and id = $2`;

const INSERT_SQL = `
  insert into season_pin (organisation_id, id, programme_id, build_id, stage_code, crew_id, starts_on, reason,
    made_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`;

const END_SQL = `
  update season_pin set ended_at = now(), ended_by_id = $3
  where organisation_id = $1 and id = $2 and ended_at is null returning id`;

const BUILD_SQL = `
  select b.programme_id as "programmeId", b.code, b.cancelled_on as "cancelledOn", k.stages
  from build b join tank_kind k on k.organisation_id = $1 and k.id = b.tank_kind_id
  where b.organisation_id = $1 and b.id = $2`;

const CREW_SQL = `select programme_id as "programmeId" from crew where organisation_id = $1 and id = $2`;

const LIVE_SQL = `
  select id from season_pin
  where organisation_id = $1 and build_id = $2 and stage_code is not distinct from $3 and ended_at is null`;

export interface BuildToPin {
  readonly programmeId: string;
  readonly code: string;
  readonly cancelledOn: string | null;
  readonly stages: StageTemplate;
}

export async function listPins(
  tx: Tx,
  query: {
    readonly limit: number;
    readonly cursor?: string | undefined;
    readonly programmeId?: string | undefined;
    readonly buildId?: string | undefined;
  },
): Promise<Page<SeasonPin>> {
  const { limit, cursor, programmeId = null, buildId = null } = query;
  const list = `season-pins?${programmeId}-${buildId}`;
  const [madeAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<SeasonPin>(LIST_SQL, [
    tx.organisationId,
    programmeId,
    buildId,
    madeAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.madeAt, row.id],
    (row) => row,
  );
}

export async function findPin(tx: Tx, id: string): Promise<SeasonPin | null> {
  const [row] = await tx.sql<SeasonPin>(ONE_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export const insertPin = (tx: Tx, id: string, programmeId: string, pin: NewSeasonPin) =>
  tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    programmeId,
    pin.buildId,
    pin.stageCode,
    pin.crewId,
    pin.startsOn,
    pin.reason,
    tx.actor.personId,
  ]);

/** False when it had ended before. */
export async function endPin(tx: Tx, id: string): Promise<boolean> {
  const rows = await tx.sql(END_SQL, [tx.organisationId, id, tx.actor.personId]);
  return rows.length > 0;
}

export async function findBuildToPin(tx: Tx, buildId: string): Promise<BuildToPin | null> {
  const [row] = await tx.sql<BuildToPin>(BUILD_SQL, [tx.organisationId, buildId]);
  return row ?? null;
}

export async function programmeOfCrew(tx: Tx, crewId: string): Promise<string | null> {
  const [row] = await tx.sql<{ programmeId: string }>(CREW_SQL, [tx.organisationId, crewId]);
  return row?.programmeId ?? null;
}

export async function findLivePin(
  tx: Tx,
  { buildId, stageCode }: Pick<NewSeasonPin, 'buildId' | 'stageCode'>,
): Promise<string | null> {
  const [row] = await tx.sql<{ id: string }>(LIVE_SQL, [tx.organisationId, buildId, stageCode]);
  return row?.id ?? null;
}
