import type { Job } from '../../../shared/contract/job.ts';
import type { NewSeasonPlan, SeasonPlanRecord } from '../../../shared/contract/season-plan.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { jobRecord } from '../../jobs/job-record.ts';
import { requestJob } from '../../jobs/request-job.ts';
import { unknownReferences } from './assume.ts';
import { listMovedBuilds } from './moved-builds.ts';
import { type FreezeBaseline, publishSeasonPlan } from './publish.ts';
import {
  allSeasonStages,
  findSeasonPlan,
  listSeasonPlans,
  listSeasonStages,
  publishedSeasonPlan,
} from './repository.ts';
import { buildsToPlan, crewsToPlan, findProgrammeToPlan } from './season-repository.ts';

const SET_ASIDE_SQL = `
  update season_plan set standing = 'set-aside'
  where organisation_id = $1 and id = $2 and standing = 'draft' returning id`;

export type SeasonPlans = ReturnType<typeof createSeasonPlans>;

export function createSeasonPlans(clock: Clock, freezeBaseline: FreezeBaseline) {
  async function get(tx: Tx, id: string): Promise<SeasonPlanRecord> {
    const plan = await findSeasonPlan(tx, id);
    if (!plan) throw notFound('season plan', id);
    return plan;
  }

  async function requireProgramme(tx: Tx, programmeId: string) {
    const programme = await findProgrammeToPlan(tx, programmeId);
    if (!programme) throw notFound('programme', programmeId);
    return programme;
  }

  return {
    get,

    /** Asks for a plan of the season; the job's result names it. */
    async request(tx: Tx, programmeId: string, settings: NewSeasonPlan): Promise<Job> {
      await requireProgramme(tx, programmeId);
      refuseAssumptions(settings);
      const basedOnId = await planBefore(tx, programmeId, settings);
      const crews = await crewsToPlan(tx, programmeId);
      if (crews.length === 0 && (settings.assumptions?.extraCrews ?? []).length === 0) {
        throw ruleBroken('no-crews', 'The programme has no crew that could build.');
      }
      if (settings.assumptions) {
        const builds = await buildsToPlan(tx, programmeId);
        const faults = unknownReferences(settings.assumptions, {
          crewIds: new Set(crews.map(({ id }) => id)),
          buildIds: new Set(builds.map(({ id }) => id)),
        });
        if (faults.length > 0) throw invalidContent(faults);
      }
      const running = await jobRecord.running(tx, 'season-planning', { programmeId });
      if (running) {
        throw ruleBroken(
          'season-planning-in-progress',
          `Job ${running} is planning this programme; wait for it or cancel it.`,
        );
      }
      const startsOn = settings.startsOn ?? clock.today();
      return requestJob(tx, 'season-planning', { programmeId, ...settings, startsOn, basedOnId });
    },

    async list(tx: Tx, programmeId: string, query: Parameters<typeof listSeasonPlans>[2]) {
      await requireProgramme(tx, programmeId);
      return listSeasonPlans(tx, programmeId, query);
    },

    async listStages(tx: Tx, id: string, query: Parameters<typeof listSeasonStages>[2]) {
      await get(tx, id);
      return listSeasonStages(tx, id, query);
    },

    async stages(tx: Tx, id: string) {
      const { code } = await get(tx, id);
      return { code, stages: await allSeasonStages(tx, id) };
    },

    /** What moved from one plan to another. */
    async movedBuilds(
      tx: Tx,
      id: string,
      {
        sinceId,
        ...paging
      }: { sinceId?: string | undefined; limit: number; cursor?: string | undefined },
    ) {
      const plan = await get(tx, id);
      const earlierId = sinceId ?? plan.basedOnId;
      if (earlierId === null) {
        throw ruleBroken(
          'nothing-to-compare',
          'The plan is based on no other; name one in sinceId.',
        );
      }
      const earlier = await findSeasonPlan(tx, earlierId);
      if (earlier?.programmeId !== plan.programmeId) throw unknownPlan('/sinceId', earlierId);
      return listMovedBuilds(tx, earlierId, id, paging);
    },

    publish: (tx: Tx, id: string, reason: string) =>
      publishSeasonPlan(tx, freezeBaseline, id, reason),

    async setAside(tx: Tx, id: string): Promise<SeasonPlanRecord> {
      const plan = await get(tx, id);
      const rows = await tx.sql(SET_ASIDE_SQL, [tx.organisationId, id]);
      if (rows.length === 0) {
        throw ruleBroken('plan-is-no-draft', `Plan ${plan.code} is ${plan.standing}.`);
      }
      await tx.audit('set-aside', 'season plan', id, { code: plan.code });
      return get(tx, id);
    },
  };
}

function refuseAssumptions({ purpose, assumptions }: NewSeasonPlan): void {
  if (purpose === 'what-if' || assumptions === undefined) return;
  throw invalidContent([
    {
      pointer: '/assumptions',
      code: 'assumptions.what-if-only',
      message: 'goes with purpose what-if, and only with it',
    },
  ]);
}

/** The plan to keep to and to compare with. */
async function planBefore(
  tx: Tx,
  programmeId: string,
  { basedOnId, purpose }: NewSeasonPlan,
): Promise<string | null> {
  if (basedOnId !== undefined) {
    const named = await findSeasonPlan(tx, basedOnId);
    if (named?.programmeId !== programmeId) throw unknownPlan('/basedOnId', basedOnId);
    return basedOnId;
  }
  const published = await publishedSeasonPlan(tx, programmeId);
  if (published === null && purpose === 'replan') {
    throw ruleBroken('no-published-plan', 'No plan of this programme is published to plan again.');
  }
  return published?.id ?? null;
}

const unknownPlan = (pointer: string, id: string) =>
  invalidContent([
    {
      pointer,
      code: 'reference.unknown',
      message: 'is not a season plan of this programme',
      rejectedValue: id,
    },
  ]);
