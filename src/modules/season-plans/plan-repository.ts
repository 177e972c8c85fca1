import type { SeasonFigures } from '../../../shared/contract/season-plan.ts';
import type { StartReason } from '../../../shared/scheduling/build-plan.ts';
import type { Tx } from '../../db/database.ts';
import type { SeasonSettings } from './read-season.ts';

export interface StageToSave {
  readonly buildId: string;
  readonly stageCode: string;
  readonly crewId: string | null;
  readonly startsOn: string;
  readonly finishesOn: string;
  readonly standing: 'done' | 'begun' | 'planned';
  readonly isPinned: boolean;
  readonly waitsFor: StartReason;
}

export interface PlanToSave {
  readonly id: string;
  readonly programmeId: string;
  readonly code: string;
  readonly finishesOn: string;
  readonly boundOn: string;
  readonly status: 'optimal' | 'feasible';
  readonly settings: SeasonSettings;
  readonly figures: SeasonFigures;
  readonly engineVersion: string;
  readonly stages: readonly StageToSave[];
}

const INSERT_PLAN_SQL = `
  insert into season_plan (organisation_id, id, programme_id, job_id, code, purpose, based_on_id, starts_on,
    finishes_on, bound_on, status, settings, figures, engine_version, created_by_id)
  values ($1, $2, $3, $2, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`;

const INSERT_STAGES_SQL = `
  insert into season_plan_stage (organisation_id, season_plan_id, build_id, stage_code, crew_id, starts_on,
    finishes_on, standing, is_pinned, waits_for)
  select $1, $2, build_id, stage_code, crew_id, starts_on, finishes_on, standing, is_pinned, waits_for
  from unnest($3::uuid[], $4::text[], $5::uuid[], $6::date[], $7::date[], $8::text[], $9::boolean[], $10::jsonb[])
    as s (build_id, stage_code, crew_id, starts_on, finishes_on, standing, is_pinned, waits_for)`;

const NEXT_CODE_SQL = `
  select count(*) + 1 as number from season_plan where organisation_id = $1 and programme_id = $2`;

/** Rows written by one statement. */
const ROWS_AT_A_TIME = 5_000;

export async function nextSeasonPlanCode(
  tx: Tx,
  programme: { readonly id: string; readonly code: string },
): Promise<string> {
  const [row] = await tx.sql<{ number: number }>(NEXT_CODE_SQL, [tx.organisationId, programme.id]);
  return `SP-${programme.code}-${row?.number ?? 1}`.slice(-60);
}

export async function insertSeasonPlan(tx: Tx, plan: PlanToSave): Promise<void> {
  const { settings } = plan;
  await tx.sql(INSERT_PLAN_SQL, [
    tx.organisationId,
    plan.id,
    plan.programmeId,
    plan.code,
    settings.purpose,
    settings.basedOnId,
    settings.startsOn,
    plan.finishesOn,
    plan.boundOn,
    plan.status,
    JSON.stringify(settings),
    JSON.stringify(plan.figures),
    plan.engineVersion,
    tx.actor.personId,
  ]);
  for (let from = 0; from < plan.stages.length; from += ROWS_AT_A_TIME) {
    const rows = plan.stages.slice(from, from + ROWS_AT_A_TIME);
    await tx.sql(INSERT_STAGES_SQL, [
      tx.organisationId,
      plan.id,
      rows.map(({ buildId }) => buildId),
      rows.map(({ stageCode }) => stageCode),
      rows.map(({ crewId }) => crewId),
      rows.map(({ startsOn }) => startsOn),
      rows.map(({ finishesOn }) => finishesOn),
      rows.map(({ standing }) => standing),
      rows.map(({ isPinned }) => isPinned),
      rows.map(({ waitsFor }) => JSON.stringify(waitsFor)),
    ]);
  }
  await tx.audit('create', 'season plan', plan.id, { code: plan.code, purpose: settings.purpose });
}
