import { v7 as uuidv7 } from 'uuid';
import type { TestPerson, TestService } from './service.ts';

export interface StageOfPlan {
  readonly buildId: string;
  readonly stageCode: string;
  readonly crewId: string | null;
  readonly startsOn: string;
  readonly finishesOn: string;
  readonly standing?: 'done' | 'begun' | 'planned';
  readonly waitsFor?: object;
}

/**
 * Publishes a season plan with exactly these stages as the next version, as if the planner had found
 * it; the version before is superseded.
 */
export async function publishPlan(
  service: TestService,
  person: TestPerson,
  programmeId: string,
  stages: readonly StageOfPlan[],
  publishedAt = '2031-01-02T08:00:00Z',
): Promise<string> {
  const id = uuidv7();
  const starts = stages.map(({ startsOn }) => startsOn).toSorted();
  const finishes = stages.map(({ finishesOn }) => finishesOn).toSorted();
  await service.as(person, async (tx) => {
    await tx.sql(
      `update season_plan set standing = 'superseded', superseded_at = $3
       where organisation_id = $1 and programme_id = $2 and standing = 'published'`,
      [tx.organisationId, programmeId, publishedAt],
    );
    await tx.sql(
      `insert into season_plan (organisation_id, id, programme_id, code, purpose, standing, version_number,
         starts_on, finishes_on, bound_on, status, settings, figures, engine_version, created_by_id,
         published_by_id, published_at, publication_reason)
       select $1, $2, $3, 'SP-' || $2::uuid, 'plan', 'published', count(*) + 1, $4::date, $5::date, $5::date,
         'feasible', $6, '{}', 'test', $7, $7, $8, 'Made for a test'
       from season_plan where organisation_id = $1 and programme_id = $3 and version_number is not null`,
      [
        tx.organisationId,
        id,
        programmeId,
        starts[0],
        finishes.at(-1),
        JSON.stringify({
          purpose: 'plan',
          startsOn: starts[0],
          basedOnId: null,
          timeLimitS: 20,
          seed: 1,
        }),
        person.personId,
        publishedAt,
      ],
    );
    for (const { standing = 'planned', waitsFor = { kind: 'nothing' }, ...stage } of stages) {
      await tx.sql(
        `insert into season_plan_stage (organisation_id, season_plan_id, build_id, stage_code, crew_id,
           starts_on, finishes_on, standing, waits_for)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
        [
          tx.organisationId,
          id,
          stage.buildId,
          stage.stageCode,
          stage.crewId,
          stage.startsOn,
          stage.finishesOn,
          standing,
          JSON.stringify(waitsFor),
        ],
      );
    }
  });
  return id;
}
