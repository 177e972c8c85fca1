import type { SeasonPlanRecord, SeasonPlanStage } from '../../shared/contract/season-plan.ts';
import type { StageTemplate } from '../../shared/scheduling/stage-template.ts';
import { makeBuild } from './factories.ts';
import { runQueuedJobs } from './jobs.ts';
import { makeBuildWithBill } from './made-bills.ts';
import { recordsOf } from './made-records.ts';
import type { TestPerson, TestService } from './service.ts';

export const SEASON_STARTS_ON = '2031-01-06';

const stage = (
  code: string,
  workDays: number,
  crewSize: number,
  minimumWaitDays: number,
  after: string[],
  more: object = {},
) => ({
  code,
  title: code,
  workDays,
  crewSize,
  minimumWaitDays,
  after,
  holdPoint: 'none' as const,
  releasedBy: null,
  needs: [],
  checks: [],
  cautions: [],
  ...more,
});

/** Slab, wall, two coats that bond within three days, and a test by one person after a cure. */
export const SEASON_STAGES = [
  stage('slab', 1, 4, 3, [], { isBlockedByRain: true }),
  stage('wall', 2, 4, 0, ['slab']),
  stage('first-coat', 1, 4, 1, ['wall'], { isBlockedByRain: true, maximumWaitDays: 3 }),
  stage('second-coat', 1, 4, 7, ['first-coat'], { isBlockedByRain: true }),
  stage('test', 1, 1, 0, ['second-coat']),
] as unknown as StageTemplate;

/**
 * A programme in 2031 with villages far enough apart for a day's move, crews, and agreed sites with
 * approved builds; nothing of it has begun.
 */
export async function makePlannedSeason(
  service: TestService,
  person: TestPerson,
  { villages = 2, buildsEach = 3, crews = 2 } = {},
) {
  const made = recordsOf(service, person);
  const like = await makeBuild(service, person);
  const { programmeId } = like;
  await service.as(person, async (tx) => {
    await tx.sql('update build set cancelled_on = $2 where id = $1', [like.buildId, '2026-01-05']);
    await tx.sql('update tank_kind set stages = $2 where id = $1', [
      like.tankKindId,
      JSON.stringify(SEASON_STAGES),
    ]);
    await tx.sql(
      `update programme set starts_on = $2, ends_on = '2031-06-30', working_weekdays = '{1,2,3,4,5,6}'
       where id = $1`,
      [programmeId, SEASON_STARTS_ON],
    );
  });
  const villageIds: string[] = [];
  const buildIds: string[][] = [];
  for (let at = 0; at < villages; at += 1) {
    const { id } = await made.village({ latDeg: at * 0.2, lonDeg: 0 });
    villageIds.push(id);
    const ids: string[] = [];
    for (let turn = 0; turn < buildsEach; turn += 1) {
      ids.push(await makeBuildWithBill(service, person, like, id, []));
    }
    buildIds.push(ids);
  }
  await service.as(person, (tx) =>
    tx.sql(`update site set agreed_on = '2030-12-01' where programme_id = $1`, [programmeId]),
  );
  const crewIds: string[] = [];
  for (let at = 0; at < crews; at += 1) {
    const crew = await made.crew({ programmeId, size: 5, homeVillageId: villageIds[at] ?? null });
    crewIds.push(crew.id);
  }

  /** Plans and answers the plan; throws what the job failed with. */
  async function plan(settings: object = {}): Promise<SeasonPlanRecord> {
    const asked = await service.http
      .post(`/v1/programmes/${programmeId}/season-plans`)
      .set(person.auth)
      .send({ startsOn: SEASON_STARTS_ON, schedules: 2_000, timeLimitS: 30, ...settings });
    if (asked.status !== 202) throw new Error(`${asked.status} ${asked.text}`);
    await runQueuedJobs(service);
    const job = await service.http.get(`/v1/jobs/${asked.body.id}`).set(person.auth).expect(200);
    if (job.body.state !== 'succeeded') throw new FailedJob(job.body.error);
    const found = await service.http
      .get(`/v1/season-plans/${job.body.result.seasonPlanId}`)
      .set(person.auth)
      .expect(200);
    return found.body;
  }

  async function stagesOf(planId: string): Promise<SeasonPlanStage[]> {
    const answer = await service.http
      .get(`/v1/season-plans/${planId}/stages?limit=200`)
      .set(person.auth)
      .expect(200);
    return answer.body.items;
  }

  const publish = (planId: string, reason = 'First plan') =>
    service.http.post(`/v1/season-plans/${planId}/publications`).set(person.auth).send({ reason });

  return { made, programmeId, villageIds, buildIds, crewIds, like, plan, stagesOf, publish };
}

export class FailedJob extends Error {
  readonly problem: { rule?: string; errors?: { message: string; code: string }[] };

  constructor(problem: FailedJob['problem']) {
    super(JSON.stringify(problem));
    this.problem = problem;
  }
}
