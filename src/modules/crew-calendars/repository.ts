import type { CalendarFeed } from '../../../shared/contract/calendar-feed.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';

const FEED_COLUMNS = `
  id, crew_id as "crewId", created_by_id as "createdById", created_at as "createdAt",
  revoked_at as "revokedAt"`;

const INSERT_SQL = `
  insert into calendar_feed (organisation_id, id, crew_id, token_sha256, created_by_id)
  values ($1, $2, $3, $4, $5) returning ${FEED_COLUMNS}`;

const LIST_SQL = `
  select ${FEED_COLUMNS} from calendar_feed
  where organisation_id = $1 and crew_id = $2
    and ($3::timestamptz is null or (created_at, id) < ($3, $4::uuid))
  order by created_at desc, id desc limit $5`;

const ONE_SQL = `select ${FEED_COLUMNS} from calendar_feed where organisation_id = $1 and id = $2`;

const REVOKE_SQL = `
  update calendar_feed set revoked_at = coalesce(revoked_at, now())
  where organisation_id = $1 and id = $2 returning ${FEED_COLUMNS}`;

const LIVE_CREW_SQL = `
  select crew_id as "crewId" from calendar_feed
  where organisation_id = $1 and token_sha256 = $2 and revoked_at is null`;

const CREW_SQL = `
  select c.id, c.code, c.programme_id as "programmeId", p.name as "programmeName"
  from crew c join programme p on p.organisation_id = c.organisation_id and p.id = c.programme_id
  where c.organisation_id = $1 and c.id = $2`;

/** Each stage as the last published version had it that gave it to the crew. */
const WORK_SQL = `
  with version as (
    select id, version_number, standing, published_at from season_plan
    where organisation_id = $1 and programme_id = $2 and version_number is not null
  ), had as (
    select distinct on (s.build_id, s.stage_code) s.build_id, s.stage_code, s.starts_on, s.finishes_on,
      v.version_number, v.standing, v.published_at
    from season_plan_stage s join version v on v.id = s.season_plan_id
    where s.organisation_id = $1 and s.crew_id = $3
    order by s.build_id, s.stage_code, v.version_number desc
  )
  select had.build_id as "buildId", b.code as "buildCode", b.tank_kind_id as "tankKindId",
    b.cancelled_on as "cancelledOn", v.name as "villageName", v.district, had.stage_code as "stageCode",
    had.starts_on as "startsOn", had.finishes_on as "finishesOn", had.version_number as "versionNumber",
    had.standing = 'published' as "isInPlan", had.published_at as "publishedAt",
    next.published_at as "droppedAt"
  from had
    join build b on b.organisation_id = $1 and b.id = had.build_id
    join village v on v.organisation_id = $1 and v.id = b.village_id
    left join version next on next.version_number = had.version_number + 1
  order by had.starts_on, b.code, had.stage_code limit $4`;

const KINDS_SQL = 'select id, stages from tank_kind where organisation_id = $1 and id = any($2)';

/** Events that a calendar has at most. */
const MOST_EVENTS = 20_000;

export interface CrewToShow {
  readonly id: string;
  readonly code: string;
  readonly programmeId: string;
  readonly programmeName: string;
}

/** A stage of a build that a published plan gives a crew, or gave it once. */
export interface CrewWork {
  readonly buildId: string;
  readonly buildCode: string;
  readonly tankKindId: string;
  readonly cancelledOn: string | null;
  readonly villageName: string;
  readonly district: string;
  readonly stageCode: string;
  readonly startsOn: string;
  readonly finishesOn: string;
  /** Of the last version that gave the crew this stage. */
  readonly versionNumber: number;
  /** Whether that is the version that holds now. */
  readonly isInPlan: boolean;
  readonly publishedAt: string;
  /** When the version after it was published. */
  readonly droppedAt: string | null;
}

export async function insertFeed(
  tx: Tx,
  feed: { readonly id: string; readonly crewId: string; readonly tokenSha256: string },
): Promise<CalendarFeed> {
  const values = [tx.organisationId, feed.id, feed.crewId, feed.tokenSha256, tx.actor.personId];
  const [made] = await tx.sql<CalendarFeed>(INSERT_SQL, values);
  if (!made) throw new Error('A calendar feed was not written');
  return made;
}

/** Newest first; `limit + 1` rows, to see whether there are more. */
export function listFeeds(
  tx: Tx,
  crewId: string,
  after: readonly string[],
  limit: number,
): Promise<CalendarFeed[]> {
  const [createdAt = null, id = null] = after;
  return tx.sql<CalendarFeed>(LIST_SQL, [tx.organisationId, crewId, createdAt, id, limit + 1]);
}

export async function findFeed(tx: Tx, id: string): Promise<CalendarFeed | null> {
  const [found] = await tx.sql<CalendarFeed>(ONE_SQL, [tx.organisationId, id]);
  return found ?? null;
}

/** Revoked once, it stays so since then. */
export async function revokeFeed(tx: Tx, id: string): Promise<CalendarFeed | null> {
  const [revoked] = await tx.sql<CalendarFeed>(REVOKE_SQL, [tx.organisationId, id]);
  return revoked ?? null;
}

/** Crew of the feed with that secret, unless it was revoked. */
export async function crewOfLiveFeed(tx: Tx, tokenSha256: string): Promise<string | null> {
  const [row] = await tx.sql<{ crewId: string }>(LIVE_CREW_SQL, [tx.organisationId, tokenSha256]);
  return row?.crewId ?? null;
}

export async function findCrewToShow(tx: Tx, crewId: string): Promise<CrewToShow | null> {
  const [row] = await tx.sql<CrewToShow>(CREW_SQL, [tx.organisationId, crewId]);
  return row ?? null;
}

export const workOfCrew = (tx: Tx, { id, programmeId }: CrewToShow): Promise<CrewWork[]> =>
  tx.sql<CrewWork>(WORK_SQL, [tx.organisationId, programmeId, id, MOST_EVENTS]);

/** Stage templates by kind of tank. */
export async function templatesOfKinds(
  tx: Tx,
  kindIds: readonly string[],
): Promise<ReadonlyMap<string, StageTemplate>> {
  const rows = await tx.sql<{ id: string; stages: StageTemplate }>(KINDS_SQL, [
    tx.organisationId,
    kindIds,
  ]);
  return new Map(rows.map(({ id, stages }) => [id, stages]));
}
