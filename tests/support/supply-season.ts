import type { StageTemplate } from '../../shared/scheduling/stage-template.ts';
import { makeBuild } from './factories.ts';
import { type BillEntry, clearBill, makeBuildWithBill } from './made-bills.ts';
import { recordsOf } from './made-records.ts';
import type { TestPerson, TestService } from './service.ts';

const stage = (code: string, workDays: number, minimumWaitDays: number, after: string[]) => ({
  code,
  title: code,
  workDays,
  crewSize: 3,
  minimumWaitDays,
  after,
  holdPoint: 'none' as const,
  releasedBy: null,
  needs: [],
  checks: [],
  cautions: [],
});

/**
 * Three stages one after another. A start on a Monday with Sundays off, by hand: the wall begins on
 * the Saturday (Tuesday + 3 days + 1), the roof 17 days after the start (Wednesday + 7 days + 1).
 */
const STAGES = [
  stage('base', 2, 3, []),
  stage('wall', 4, 7, ['base']),
  stage('roof', 1, 0, ['wall']),
] as unknown as StageTemplate;

/** Days from a start on a Monday to the start of each stage. */
export const STAGE_OFFSET_DAYS = { base: 0, wall: 5, roof: 17 } as const;

/**
 * A programme in 2031 with its own tank kind, and ways to add builds with bills by stage. It begins on
 * Monday 6 January, so that no real today ever lies in it; work is done from Monday to Saturday.
 */
export async function makeSupplySeason(service: TestService, person: TestPerson) {
  const made = recordsOf(service, person);
  const like = await makeBuild(service, person);
  await clearBill(service, person, like.buildId);
  const { programmeId } = like;
  await service.as(person, async (tx) => {
    await tx.sql('update build set cancelled_on = $2 where id = $1', [like.buildId, '2026-01-05']);
    await tx.sql('update tank_kind set stages = $2 where id = $1', [
      like.tankKindId,
      JSON.stringify(STAGES),
    ]);
    await tx.sql(
      `update programme set starts_on = '2031-01-06', ends_on = '2031-04-27', working_weekdays = '{1,2,3,4,5,6}'
       where id = $1`,
      [programmeId],
    );
  });

  /** A build that starts on a day, or on none yet. */
  async function build(villageId: string, plannedStartOn: string | null, bill: BillEntry[]) {
    const buildId = await makeBuildWithBill(service, person, like, villageId, bill);
    await move(buildId, plannedStartOn);
    return buildId;
  }
  const move = (buildId: string, plannedStartOn: string | null) =>
    service.as(person, (tx) =>
      tx.sql('update build set planned_start_on = $2 where id = $1', [buildId, plannedStartOn]),
    );
  const delivery = (supplierId: string, villageId: string, fields: object = {}) =>
    made.make('delivery-offers', {
      supplierId,
      villageId,
      costPerTrip: '40',
      costPerKm: '0.5',
      roadKm: 20,
      currency: 'EUR',
      payloadKg: 3_500,
      deliveryWeekdays: [2, 5],
      validFrom: '2026-01-01',
      validUntil: '2031-12-31',
      ...fields,
    });
  const offer = (supplierId: string, materialId: string, fields: object = {}) =>
    made.offer({
      supplierId,
      materialId,
      leadDays: 5,
      validFrom: '2026-01-01',
      validUntil: '2031-12-31',
      ...fields,
    });
  return { made, like, programmeId, build, move, delivery, offer };
}

export type SupplySeason = Awaited<ReturnType<typeof makeSupplySeason>>;
