import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type LateStage, lateStage } from '../../shared/contract/late-stage.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { makeBuildWithBill } from '../support/made-bills.ts';
import { makePlannedSeason } from '../support/planned-season.ts';
import { publishPlan, type StageOfPlan } from '../support/published-plan.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2031-01-20' } });
  coordinator = await service.person([
    'coordinator',
    'supervisor',
    'engineer',
    'inspector',
    'storekeeper',
  ]);
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);

/**
 * Tanks in two villages. Each stage costs 10.00; the slab is held for the inspector, and the wall is
 * checked for plumb.
 */
async function makeSeason({ builds = 1 } = {}) {
  const season = await makePlannedSeason(service, coordinator, { villages: 2, buildsEach: 0 });
  const [near = '', far = ''] = season.villageIds;
  const [crewId = '', otherCrewId = ''] = season.crewIds;
  const material = await season.made.material({ name: 'Cement' });
  const make = (villageId: string) =>
    makeBuildWithBill(service, coordinator, season.like, villageId, [
      { materialId: material.id, quantity: '30', stageCode: 'slab' },
      { materialId: material.id, quantity: '50', stageCode: 'wall' },
    ]);
  const ids: string[] = [];
  for (let turn = 0; turn < builds; turn += 1) ids.push(await make(turn % 2 === 0 ? near : far));
  await service.as(coordinator, async (tx) => {
    await tx.sql('update bill_line set amount = 10 where build_id = any($1)', [ids]);
    await tx.sql(
      `update tank_kind set stages = jsonb_set(jsonb_set(stages,
         '{0}', stages->0 || '{"holdPoint":"hold","releasedBy":"inspector","title":"Slab laid"}'),
         '{1,checks}', '[{"code":"plumb","title":"Plumb","unit":"mm","maximum":10,"isCommonPractice":true}]')
       where id = $1`,
      [season.like.tankKindId],
    );
  });
  const record = async (
    buildId: string,
    stageCode: string,
    kind: string,
    on: string,
    more = {},
  ) => {
    const answer = await service.http
      .post(`/v1/builds/${buildId}/stage-records`)
      .set(coordinator.auth)
      .send({ stageCode, kind, observedOn: on, ...more });
    expect(answer.status, answer.text).toBe(201);
    return answer.body.id as string;
  };
  /** Slab from the 6th to the 7th, wall on the 13th and 14th, first coat on the 16th. */
  const planOf = (buildId: string, crew = crewId): StageOfPlan[] => [
    { buildId, stageCode: 'slab', crewId: crew, startsOn: '2031-01-06', finishesOn: '2031-01-07' },
    { buildId, stageCode: 'wall', crewId: crew, startsOn: '2031-01-13', finishesOn: '2031-01-14' },
    {
      buildId,
      stageCode: 'first-coat',
      crewId: crew,
      startsOn: '2031-01-16',
      finishesOn: '2031-01-16',
    },
  ];
  const publish = (stages: readonly StageOfPlan[]) =>
    publishPlan(service, coordinator, season.programmeId, stages);
  const late = async (query = ''): Promise<LateStage[]> => {
    const answer = await get(`programmes/${season.programmeId}/late-stages${query}`).expect(200);
    return answer.body.items.map((item: unknown) => lateStage.parse(item));
  };
  return { season, ids, near, far, crewId, otherCrewId, material, record, planOf, publish, late };
}

/** A chain of reasons in short: what and where. */
const chain = ({ reasons }: LateStage) =>
  reasons.map(({ kind, stageCode }) => `${kind} ${stageCode}`);
const ofStage = (late: readonly LateStage[], stageCode: string, buildId?: string) => {
  const found = late.find(
    (one) => one.stageCode === stageCode && (buildId === undefined || one.buildId === buildId),
  );
  if (!found) throw new Error(`${stageCode} is not late`);
  return found;
};

describe('late stages', () => {
  it('are those that should have begun or been finished before the day, the worst first', async () => {
    const { ids, planOf, publish, late } = await makeSeason();
    const [buildId = ''] = ids;
    await publish(planOf(buildId));
    const all = await late();
    expect(all.map(({ stageCode, lateDays, lateness }) => [stageCode, lateDays, lateness])).toEqual(
      [
        ['slab', 14, 'not-begun'],
        ['wall', 7, 'not-begun'],
        ['first-coat', 4, 'not-begun'],
      ],
    );
    expect(chain(ofStage(all, 'slab'))).toEqual(['not-begun slab']);
    expect(chain(ofStage(all, 'first-coat'))).toEqual([
      'earlier-stage wall',
      'earlier-stage slab',
      'not-begun slab',
    ]);
    // Late is what was planned before the day, not on it.
    expect((await late('?on=2031-01-06')).length).toBe(0);
    expect((await late('?on=2031-01-07')).map(({ lateDays }) => lateDays)).toEqual([1]);
  });

  it('come down to work that goes on, and is late by its planned finish', async () => {
    const { ids, planOf, publish, record, late } = await makeSeason();
    const [buildId = ''] = ids;
    await publish(planOf(buildId));
    await record(buildId, 'slab', 'started', '2031-01-08');
    const all = await late();
    expect(ofStage(all, 'slab')).toMatchObject({
      lateness: 'not-finished',
      lateDays: 13,
      startedOn: '2031-01-08',
    });
    expect(chain(ofStage(all, 'wall'))).toEqual(['earlier-stage slab', 'work-goes-on slab']);
    // As it was on the day before: not begun.
    expect(await late('?on=2031-01-07')).toEqual([
      expect.objectContaining({ lateness: 'not-begun', startedOn: null }),
    ]);
  });

  it('come down to a hold that somebody has to release, then to a wait that runs', async () => {
    const { ids, planOf, publish, record, late } = await makeSeason();
    const [buildId = ''] = ids;
    await publish(planOf(buildId));
    await record(buildId, 'slab', 'started', '2031-01-17');
    await record(buildId, 'slab', 'finished', '2031-01-18');
    const held = ofStage(await late(), 'wall');
    expect(held.reasons).toEqual([
      expect.objectContaining({
        kind: 'hold-not-released',
        stageCode: 'slab',
        stageTitle: 'Slab laid',
        releasedBy: 'inspector',
        sinceOn: '2031-01-18',
      }),
    ]);
    await record(buildId, 'slab', 'hold-released', '2031-01-19');
    const all = await late();
    expect(all.some(({ stageCode }) => stageCode === 'slab')).toBe(false);
    expect(ofStage(all, 'wall').reasons).toEqual([
      expect.objectContaining({
        kind: 'wait',
        stageCode: 'slab',
        sinceOn: '2031-01-18',
        untilOn: '2031-01-21',
      }),
    ]);
    expect(chain(ofStage(all, 'first-coat'))).toEqual(['earlier-stage wall', 'wait slab']);
    // The wait is over on the day that the reason names: from then on nothing keeps the wall.
    expect(chain(ofStage(await late('?on=2031-01-21'), 'wall'))).toEqual(['not-begun wall']);
  });

  it('come down to work that did not pass, with its record', async () => {
    const { ids, planOf, publish, record, late } = await makeSeason();
    const [buildId = ''] = ids;
    await publish(planOf(buildId));
    await record(buildId, 'slab', 'started', '2031-01-06');
    await record(buildId, 'slab', 'finished', '2031-01-07');
    await record(buildId, 'slab', 'hold-released', '2031-01-08');
    await record(buildId, 'wall', 'started', '2031-01-13');
    const recordId = await record(buildId, 'wall', 'check-recorded', '2031-01-14', {
      checkCode: 'plumb',
      measuredValue: 25,
    });
    await record(buildId, 'wall', 'finished', '2031-01-14');
    const all = await late();
    expect(ofStage(all, 'wall').lateness).toBe('not-finished');
    for (const stageCode of ['wall', 'first-coat']) {
      expect(ofStage(all, stageCode).reasons).toEqual([
        expect.objectContaining({
          kind: 'nonconformity',
          stageCode: 'wall',
          recordId,
          sinceOn: '2031-01-14',
        }),
      ]);
    }
  });

  it('come down to another tank that the crew still has in hand, and on to why', async () => {
    const { ids, planOf, publish, record, late, crewId, otherCrewId } = await makeSeason({
      builds: 3,
    });
    const [first = '', second = '', third = ''] = ids;
    await publish([
      ...planOf(first),
      { ...(planOf(second)[0] as StageOfPlan), startsOn: '2031-01-15', finishesOn: '2031-01-15' },
      {
        ...(planOf(third, otherCrewId)[0] as StageOfPlan),
        startsOn: '2031-01-15',
        finishesOn: '2031-01-15',
      },
    ]);
    await record(first, 'slab', 'started', '2031-01-06');
    const all = await late();
    const held = ofStage(all, 'slab', second);
    expect(held.crewId).toBe(crewId);
    expect(held.reasons.map(({ kind, buildId, stageCode }) => [kind, buildId, stageCode])).toEqual([
      ['crew-elsewhere', first, 'slab'],
      ['work-goes-on', first, 'slab'],
    ]);
    // The other crew has nothing in hand.
    expect(chain(ofStage(all, 'slab', third))).toEqual(['not-begun slab']);
  });

  it('come down to materials that are neither issued nor in the village', async () => {
    const { season, ids, near, planOf, publish, late, material } = await makeSeason({ builds: 2 });
    const [first = '', second = ''] = ids;
    await publish([...planOf(first), ...planOf(second)]);
    const stock = await season.made.store();
    const local = await season.made.store({ villageId: near });
    const post = async (body: object) => {
      const answer = await service.http.post('/v1/stock-entries').set(coordinator.auth).send(body);
      expect(answer.status, answer.text).toBe(201);
    };
    const entry = { materialId: material.id, observedOn: '2031-01-05' };
    await post({ ...entry, storeId: stock.id, kind: 'receive', quantity: '100' });
    // While nothing was issued in the programme its stock tells nothing.
    expect(chain(ofStage(await late(), 'slab', first))).toEqual(['not-begun slab']);
    await post({ ...entry, storeId: stock.id, kind: 'issue', quantity: '10', buildId: first });
    const short = ofStage(await late(), 'slab', first);
    expect(short.reasons).toEqual([
      expect.objectContaining({
        kind: 'materials-not-there',
        materials: [
          {
            materialId: material.id,
            materialCode: material.code,
            unitCode: 'KGM',
            neededQuantity: '30',
            issuedQuantity: '10',
            inVillageQuantity: '0',
          },
        ],
      }),
    ]);
    expect(ofStage(await late(), 'slab', second).reasons[0]?.materials[0]?.issuedQuantity).toBe(
      '0',
    );
    await post({ ...entry, storeId: local.id, kind: 'receive', quantity: '20' });
    expect(chain(ofStage(await late(), 'slab', first))).toEqual(['not-begun slab']);
    expect(chain(ofStage(await late(), 'slab', second))).toEqual(['materials-not-there slab']);
  });

  it('come down to the rains, and to a crew that is away', async () => {
    const { season, ids, planOf, publish, late, crewId } = await makeSeason();
    await publish(planOf(ids[0] ?? ''));
    await service.as(coordinator, (tx) =>
      tx.sql('update crew set absences = $2 where id = $1', [
        crewId,
        JSON.stringify([{ fromOn: '2031-01-19', untilOn: '2031-01-22', reason: '' }]),
      ]),
    );
    expect(ofStage(await late(), 'slab').reasons).toEqual([
      expect.objectContaining({ kind: 'crew-away', untilOn: '2031-01-23' }),
    ]);
    await service.as(coordinator, (tx) =>
      tx.sql(
        `update programme set rains_from = '2031-01-18', rains_until = '2031-03-31' where id = $1`,
        [season.programmeId],
      ),
    );
    expect(ofStage(await late(), 'slab').reasons).toEqual([
      expect.objectContaining({ kind: 'rains', untilOn: '2031-04-01' }),
    ]);
  });

  it('are no more of a build that was cancelled, nor of a plan that was superseded', async () => {
    const { ids, planOf, publish, late } = await makeSeason({ builds: 2 });
    const [first = '', second = ''] = ids;
    await publish([...planOf(first), ...planOf(second)]);
    expect(await late()).toHaveLength(6);
    await service.as(coordinator, (tx) =>
      tx.sql(`update build set cancelled_on = '2031-01-15', status = 'cancelled' where id = $1`, [
        first,
      ]),
    );
    expect((await late()).map(({ buildId }) => buildId)).toEqual([second, second, second]);
    await publish(
      planOf(second).map((stage) => ({
        ...stage,
        startsOn: '2031-02-03',
        finishesOn: '2031-02-04',
      })),
    );
    expect(await late()).toEqual([]);
  });
});

/** Rules by which a start is refused, where it is not that an earlier stage is not finished. */
const RULE_OF_REASON: Readonly<Record<string, string>> = {
  'hold-not-released': 'hold-open',
  wait: 'wait-not-over',
  nonconformity: 'check-failed',
};

describe('the reasons of late stages', () => {
  it('agree with the rules of records: what they call free may start, all else may not', async () => {
    const { ids, planOf, publish, record, late, otherCrewId } = await makeSeason({ builds: 8 });
    await publish(ids.flatMap((id, at) => planOf(id, at % 2 === 0 ? undefined : otherCrewId)));
    const steps: readonly (readonly [string, string, string, object?])[] = [
      ['slab', 'started', '2031-01-13'],
      ['slab', 'finished', '2031-01-14'],
      ['slab', 'hold-released', '2031-01-15'],
      ['wall', 'started', '2031-01-17'],
      ['wall', 'check-recorded', '2031-01-18', { checkCode: 'plumb', measuredValue: 4 }],
      ['wall', 'finished', '2031-01-19'],
      ['wall', 'check-recorded', '2031-01-19', { checkCode: 'plumb', measuredValue: 40 }],
    ];
    for (const [at, buildId] of ids.entries()) {
      for (const [stageCode, kind, on, more] of steps.slice(0, at)) {
        await record(buildId, stageCode, kind, on, more);
      }
    }
    const outcomes = new Set<string>();
    // Later stages first: a start that is taken stands for itself alone.
    const notBegun = (await late('?limit=200'))
      .filter(({ lateness }) => lateness === 'not-begun')
      .toSorted((a, b) => (a.plannedStartOn < b.plannedStartOn ? 1 : -1));
    for (const { buildId, stageCode, reasons } of notBegun) {
      const answer = await service.http
        .post(`/v1/builds/${buildId}/stage-records`)
        .set(coordinator.auth)
        .send({ stageCode, kind: 'started', observedOn: '2031-01-20' });
      // The last reason in the build itself; from there on it is about its crew.
      const last = reasons.findLast(
        (one) => one.buildId === buildId && one.stageCode !== stageCode,
      );
      const rule = last ? (RULE_OF_REASON[last.kind] ?? 'stage-out-of-order') : 'taken';
      outcomes.add(rule);
      expect(answer.status === 201 ? 'taken' : answer.body.rule, reasons[0]?.detail).toBe(rule);
    }
    expect([...outcomes].toSorted()).toEqual([
      'check-failed',
      'hold-open',
      'stage-out-of-order',
      'taken',
    ]);
  });
});

describe('the list of late stages', () => {
  it('comes in pages that together are the whole, filtered by village and crew', async () => {
    const { season, ids, far, planOf, publish, late, otherCrewId } = await makeSeason({
      builds: 4,
    });
    await publish(ids.flatMap((id, at) => planOf(id, at === 3 ? otherCrewId : undefined)));
    const all = await late('?limit=200');
    expect(all).toHaveLength(12);
    const paged: LateStage[] = [];
    for (let cursor: string | null = ''; cursor !== null; ) {
      const query: string = cursor === '' ? '?limit=5' : `?limit=5&cursor=${cursor}`;
      const { body } = await get(`programmes/${season.programmeId}/late-stages${query}`).expect(
        200,
      );
      paged.push(...body.items);
      cursor = body.nextCursor;
    }
    expect(paged).toEqual(all);
    expect((await late(`?villageId=${far}`)).length).toBe(6);
    expect((await late(`?villageId=${far}&crewId=${otherCrewId}`)).length).toBe(3);
  });

  it('comes as CSV and as a workbook, row for row', async () => {
    const { season, ids, planOf, publish, late } = await makeSeason();
    await publish(planOf(ids[0] ?? ''));
    const path = `programmes/${season.programmeId}/late-stages`;
    const csv = await get(`${path}.csv?on=2031-01-20`).expect(200);
    const rows: Record<string, string>[] = parse(csv.text, { bom: true, columns: true });
    const all = await late();
    expect(rows.map((row) => [row.stage_code, Number(row.late_days), row.root_reason])).toEqual(
      all.map(({ stageCode, lateDays, reasons }) => [stageCode, lateDays, reasons.at(-1)?.kind]),
    );
    const book = await get(`${path}.xlsx`).expect(200);
    expect(book.headers['content-type']).toContain('spreadsheetml');
  });

  it('is empty while no plan is published, and not found from another organisation', async () => {
    const { season, late } = await makeSeason();
    expect(await late()).toEqual([]);
    const stranger = await service.person(['coordinator']);
    const path = `programmes/${season.programmeId}/late-stages`;
    for (const each of [path, `${path}.csv`, `${path}.xlsx`]) {
      expectProblem(await get(each, stranger), 404, 'not-found');
    }
    const refused = expectProblem(await get(`${path}?on=soon`), 422, 'invalid-content');
    expect(refused.errors).toEqual([expect.objectContaining({ pointer: '/on' })]);
  });
});
