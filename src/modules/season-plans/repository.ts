import type {
  SeasonFigures,
  SeasonPlanRecord,
  SeasonPlanStage,
  SeasonPlanSummary,
} from '../../../shared/contract/season-plan.ts';
import type { Tx } from '../../db/database.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const SUMMARY_COLUMNS = `
  id, programme_id as "programmeId", job_id as "jobId", code, purpose, standing,
  version_number as "versionNumber", based_on_id as "basedOnId", starts_on as "startsOn",
  finishes_on as "finishesOn", bound_on as "boundOn", status, engine_version as "engineVersion",
  created_by_id as "createdById", created_at as "createdAt", published_by_id as "publishedById",
  published_at as "publishedAt", publication_reason as "publicationReason",
  superseded_at as "supersededAt"`;

const LIST_SQL = `
  select ${SUMMARY_COLUMNS} from season_plan
  where organisation_id = $1 and programme_id = $2 and ($3::text is null or standing = $3)
    and ($4::text is null or purpose = $4)
    and ($5::timestamptz is null or (created_at, id) < ($5, $6::uuid))
  order by created_at desc, id desc limit $7`;

const ONE_SQL = `
  select ${SUMMARY_COLUMNS}, settings, figures from season_plan where organisation_id = $1 and id = $2`;

const PUBLISHED_SQL = `
  select ${SUMMARY_COLUMNS}, settings, figures from season_plan
  where organisation_id = $1 and programme_id = $2 and standing = 'published'`;

const STAGES_SQL = `
  select s.build_id as "buildId", b.code as "buildCode", b.village_id as "villageId", v.name as "villageName",
    s.stage_code as "stageCode", s.crew_id as "crewId", c.code as "crewCode", s.starts_on as "startsOn",
    s.finishes_on as "finishesOn", s.standing, s.is_pinned as "isPinned", s.waits_for as "waitsFor"
  from season_plan_stage s
    join build b on b.organisation_id = s.organisation_id and b.id = s.build_id
    join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
    left join crew c on c.organisation_id = s.organisation_id and c.id = s.crew_id
  where s.organisation_id = $1 and s.season_plan_id = $2
    and ($3::uuid is null or s.build_id = $3) and ($4::uuid is null or b.village_id = $4)
    and ($5::uuid is null or s.crew_id = $5)
    and ($6::date is null or s.finishes_on >= $6) and ($7::date is null or s.starts_on <= $7)
    and ($8::date is null or (s.starts_on, s.build_id, s.stage_code) > ($8, $9::uuid, $10::text))
  order by s.starts_on, s.build_id, s.stage_code limit $11`;

interface Paging {
  readonly limit: number;
  readonly cursor?: string | undefined;
}

export interface SeasonStageFilter {
  readonly buildId?: string | undefined;
  readonly villageId?: string | undefined;
  readonly crewId?: string | undefined;
  readonly from?: string | undefined;
  readonly until?: string | undefined;
}

/** Stages of a plan that a file may have. */
const MOST_STAGES = 200_000;

export async function listSeasonPlans(
  tx: Tx,
  programmeId: string,
  query: Paging & { standing?: string | undefined; purpose?: string | undefined },
): Promise<Page<SeasonPlanSummary>> {
  const { limit, cursor, ...filter } = query;
  const list = `season-plans?${programmeId}${JSON.stringify(filter)}`;
  const [createdAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<SeasonPlanSummary>(LIST_SQL, [
    tx.organisationId,
    programmeId,
    filter.standing ?? null,
    filter.purpose ?? null,
    createdAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  const keyOf = (row: SeasonPlanSummary) => [row.createdAt, row.id];
  return toPage(tx.actor, list, rows, limit, keyOf, (row) => row);
}

export async function findSeasonPlan(
  tx: Tx,
  id: string,
  { lock = false } = {},
): Promise<SeasonPlanRecord | null> {
  const text = lock ? `${ONE_SQL} for update` : ONE_SQL;
  const [row] = await tx.sql<SeasonPlanRecord>(text, [tx.organisationId, id]);
  return row ?? null;
}

export async function publishedSeasonPlan(
  tx: Tx,
  programmeId: string,
): Promise<SeasonPlanRecord | null> {
  const [row] = await tx.sql<SeasonPlanRecord>(PUBLISHED_SQL, [tx.organisationId, programmeId]);
  return row ?? null;
}

async function readStages(
  tx: Tx,
  planId: string,
  filter: SeasonStageFilter,
  after: readonly string[],
  limit: number,
): Promise<SeasonPlanStage[]> {
  return tx.sql<SeasonPlanStage>(STAGES_SQL, [
    tx.organisationId,
    planId,
    filter.buildId ?? null,
    filter.villageId ?? null,
    filter.crewId ?? null,
    filter.from ?? null,
    filter.until ?? null,
    after[0] ?? null,
    after[1] ?? null,
    after[2] ?? null,
    limit,
  ]);
}

/** By day of start. */
export async function listSeasonStages(
  tx: Tx,
  planId: string,
  { limit, cursor, ...filter }: SeasonStageFilter & Paging,
): Promise<Page<SeasonPlanStage>> {
  const list = `season-plan-stages?${planId}${JSON.stringify(filter)}`;
  const after = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await readStages(tx, planId, filter, after, limit + 1);
  const keyOf = (row: SeasonPlanStage) => [row.startsOn, row.buildId, row.stageCode];
  return toPage(tx.actor, list, rows, limit, keyOf, (row) => row);
}

/** Every stage of a plan, for a file or a calendar. */
export const allSeasonStages = (tx: Tx, planId: string, filter: SeasonStageFilter = {}) =>
  readStages(tx, planId, filter, [], MOST_STAGES);

/** Completes the figures of a plan in the transaction that makes it. */
export const figuresWith = (tx: Tx, id: string, figures: SeasonFigures) =>
  tx.sql('update season_plan set figures = $3 where organisation_id = $1 and id = $2', [
    tx.organisationId,
    id,
    JSON.stringify(figures),
  ]);
