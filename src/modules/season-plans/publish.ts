import type { SeasonPlanRecord } from '../../../shared/contract/season-plan.ts';
import type { Tx } from '../../db/database.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import { findSeasonPlan, publishedSeasonPlan } from './repository.ts';

const SUPERSEDE_SQL = `
  update season_plan set standing = 'superseded', superseded_at = now()
  where organisation_id = $1 and programme_id = $2 and standing = 'published'`;

const PUBLISH_SQL = `
  update season_plan set standing = 'published', published_at = now(), published_by_id = $3,
    publication_reason = $4, version_number = (
      select coalesce(max(version_number), 0) + 1 from season_plan
      where organisation_id = $1 and programme_id = $5)
  where organisation_id = $1 and id = $2`;

/** Builds that have not begun take their crew and their day of start from the plan. */
const DATE_BUILDS_SQL = `
  with first as (
    select distinct on (s.build_id) s.build_id, s.starts_on, s.crew_id from season_plan_stage s
    where s.organisation_id = $1 and s.season_plan_id = $2
    order by s.build_id, s.starts_on, s.stage_code
  )
  update build b set planned_start_on = first.starts_on, crew_id = coalesce(first.crew_id, b.crew_id),
    version = b.version + 1, updated_at = now()
  from first
  where b.organisation_id = $1 and b.id = first.build_id and b.started_on is null and b.cancelled_on is null
    and (b.planned_start_on, b.crew_id) is distinct from (first.starts_on, coalesce(first.crew_id, b.crew_id))`;

const LOCK_PROGRAMME_SQL = `
  select id from programme where organisation_id = $1 and id = $2 for update`;

/** Keeps the money of a plan's stages as it stands when the plan is published. */
export type FreezeBaseline = (tx: Tx, seasonPlanId: string) => Promise<void>;

/**
 * Publishes a draft: it becomes the frozen baseline, the plan before it is superseded, and builds that
 * have not begun take crew and day of start from it.
 */
export async function publishSeasonPlan(
  tx: Tx,
  freezeBaseline: FreezeBaseline,
  id: string,
  reason: string,
): Promise<SeasonPlanRecord> {
  const asked = await findSeasonPlan(tx, id);
  if (!asked) throw notFound('season plan', id);
  await tx.sql(LOCK_PROGRAMME_SQL, [tx.organisationId, asked.programmeId]);
  const plan = (await findSeasonPlan(tx, id, { lock: true })) ?? asked;
  if (plan.standing !== 'draft') {
    throw ruleBroken('plan-is-no-draft', `Plan ${plan.code} is ${plan.standing}.`);
  }
  if (plan.purpose === 'what-if') {
    throw ruleBroken('what-if-is-not-published', 'A plan that supposes things is only looked at.');
  }
  const published = await publishedSeasonPlan(tx, plan.programmeId);
  if (published !== null && plan.basedOnId !== published.id) {
    throw ruleBroken(
      'plan-is-outdated',
      `Plan ${published.code} was published after this one was begun; plan again on it.`,
    );
  }
  await tx.sql(SUPERSEDE_SQL, [tx.organisationId, plan.programmeId]);
  await tx.sql(PUBLISH_SQL, [tx.organisationId, id, tx.actor.personId, reason, plan.programmeId]);
  await tx.sql(DATE_BUILDS_SQL, [tx.organisationId, id]);
  await freezeBaseline(tx, id);
  await tx.audit('publish', 'season plan', id, { code: plan.code, reason });
  return (await findSeasonPlan(tx, id)) ?? plan;
}
