import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { order } from '../../shared/contract/order.ts';
import { requisition } from '../../shared/contract/requisition.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { type Buyers, makeBuyers, ordersOf } from '../support/made-orders.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let people: Buyers;
let buy: ReturnType<typeof ordersOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2026-11-20' } });
  people = await makeBuyers(service);
  buy = ordersOf(service, people);
});
afterAll(() => service.close());

const decide = (id: string, decision = 'approved', who = people.approver) =>
  buy.post(`requisitions/${id}/decisions`, { decision, remarks: 'Seen' }, who);

/** A yard that sells cement in bags with a break of price at 10, and a programme with two villages. */
async function market() {
  const [cement, wire, yard] = [
    await buy.made.material(),
    await buy.made.material({ name: 'Binding wire', category: 'steel' }),
    await buy.made.supplier(),
  ];
  const offer = (materialId: string, more: object) =>
    buy.made.offer({ supplierId: yard.id, materialId, validUntil: '2027-03-31', ...more });
  return {
    programme: await buy.made.programme(),
    villages: [(await buy.made.village()).id, (await buy.made.village()).id] as const,
    cement,
    wire,
    yard,
    bags: await offer(cement.id, {
      maximumPacks: 100,
      priceBreaks: [{ fromPacks: 10, pricePerPack: '7.00' }],
      breakRule: 'all-units',
    }),
    coil: await offer(wire.id, { packContent: '25', pricePerPack: '40.00', minimumPacks: 2 }),
  };
}

type Market = Awaited<ReturnType<typeof market>>;

const lineOf = ({ cement, bags, villages }: Market, more: object = {}) => ({
  materialId: cement.id,
  deliveryVillageId: villages[0],
  offerId: bags.id,
  packCount: 6,
  neededBy: '2026-12-09',
  ...more,
});

const ask = (at: Market, lines: readonly object[], more: object = {}) =>
  buy.post('requisitions', {
    programmeId: at.programme.id,
    reason: 'Repairs of two slabs',
    lines,
    ...more,
  });

describe('requisitions', () => {
  it('by hand are approved by another and become orders by supplier, village and week', async () => {
    const at = await market();
    const { body } = await ask(at, [
      lineOf(at),
      lineOf(at, { neededBy: '2026-12-07', needQuantity: '290' }),
      lineOf(at, { neededBy: '2026-12-16' }),
      lineOf(at, { deliveryVillageId: at.villages[1] }),
      lineOf(at, { materialId: at.wire.id, offerId: at.coil.id, packCount: 2 }),
    ]).expect(201);
    const asked = requisition.parse(body);
    // 6 bags at 7.45 four times, and 2 coils at 40.00
    expect(asked).toMatchObject({
      status: 'requested',
      amount: { amount: '258.80', currency: 'EUR' },
      requestedById: people.coordinator.personId,
      orders: [],
    });
    expect(asked.lines[0]).toMatchObject({ needQuantity: '300', placeBy: '2026-12-02' });
    const early = expectProblem(
      await buy.post(`requisitions/${asked.id}/orders`, {}),
      422,
      'rule-broken',
    );
    expect(early.rule).toBe('requisition-not-approved');
    const own = expectProblem(
      await decide(asked.id, 'approved', people.coordinator),
      422,
      'rule-broken',
    );
    expect(own.rule).toBe('decided-by-another');
    await decide(asked.id).expect(201);
    const ordered = await buy.post(`requisitions/${asked.id}/orders`, {}).expect(201);
    expect(ordered.body.status).toBe('ordered');
    // the two lines of one week are 12 bags together, and so 7.00 a bag
    expect(
      ordered.body.orders.map((one: { neededBy: string; amount: object; approval: string }) => [
        one.neededBy,
        one.amount,
        one.approval,
      ]),
    ).toEqual([
      ['2026-12-07', { amount: '164.00', currency: 'EUR' }, 'approved'],
      ['2026-12-09', { amount: '44.70', currency: 'EUR' }, 'approved'],
      ['2026-12-16', { amount: '44.70', currency: 'EUR' }, 'approved'],
    ]);
    const first = order.parse((await buy.get(`orders/${ordered.body.orders[0].id}`)).body);
    expect(first).toMatchObject({
      requisitionId: asked.id,
      requestedById: people.coordinator.personId,
      decisions: [{ decision: 'approved', decidedById: people.approver.personId }],
    });
    const cement = first.lines.find(({ materialId }) => materialId === at.cement.id);
    expect(cement).toMatchObject({ packCount: 12, needQuantity: '590', roundingQuantity: '10' });
    await buy.post(`orders/${first.id}/placements`, {}).expect(200);
    const again = await buy.post(`requisitions/${asked.id}/orders`, {});
    expect(expectProblem(again, 422, 'rule-broken').rule).toBe('requisition-settled');
    // no build needs what was asked for by hand: the programme itself stands for the cost
    const { entries, committed } = await buy.ledgerOf(first.id);
    expect(committed).toBe(16_400);
    expect(entries).toMatchObject([{ grantId: null, buildId: null }]);
  });

  it('name every line that cannot be ordered', async () => {
    const at = await market();
    const [other, ended, dollars] = [
      await buy.made.offer(),
      await buy.made.offer({ materialId: at.cement.id, validUntil: '2026-11-19' }),
      await buy.made.offer({ materialId: at.cement.id, currency: 'USD' }),
    ];
    const answer = await ask(at, [
      lineOf(at, { offerId: other.id }),
      lineOf(at, { offerId: ended.id }),
      lineOf(at, { offerId: dollars.id }),
      lineOf(at, { offerId: randomUUID() }),
      lineOf(at, { packCount: 101 }),
      lineOf(at, { materialId: at.wire.id, offerId: at.coil.id, packCount: 1 }),
      lineOf(at, { neededBy: '2026-11-19' }),
      lineOf(at, { needQuantity: '301' }),
      lineOf(at, { deliveryVillageId: randomUUID() }),
    ]);
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map(({ pointer, code }) => [pointer, code])).toEqual([
      ['/lines/0/materialId', 'offer.other-material'],
      ['/lines/1/offerId', 'offer.not-valid'],
      ['/lines/2/offerId', 'offer.other-currency'],
      ['/lines/3/offerId', 'reference.unknown'],
      ['/lines/4/packCount', 'offer.pack-limits'],
      ['/lines/5/packCount', 'offer.pack-limits'],
      ['/lines/6/neededBy', 'date.past'],
      ['/lines/7/needQuantity', 'need.above-packs'],
      ['/lines/8/deliveryVillageId', 'reference.unknown'],
    ]);
  });

  it('are not ordered from an offer that was withdrawn since', async () => {
    const at = await market();
    const { body } = await ask(at, [lineOf(at)]).expect(201);
    await decide(body.id).expect(201);
    await buy.post(`offers/${at.bags.id}/withdrawals`, {});
    const late = await buy.post(`requisitions/${body.id}/orders`, {});
    const { rule, detail } = expectProblem(late, 422, 'rule-broken');
    expect(rule).toBe('offer-not-valid');
    expect(detail).toContain('withdrawn on 2026-11-20');
    await buy.post(`requisitions/${body.id}/withdrawals`, { reason: 'Anew' }).expect(201);
    expect((await buy.get(`requisitions/${body.id}`)).body.status).toBe('withdrawn');
  });

  it('take each line of a supply plan once, until they are withdrawn or refused', async () => {
    const at = await market();
    const { planId, lineIds } = await plan(at);
    const path = `supply-plans/${planId}/requisitions`;
    const first = await buy.post(path, { placeByUntil: '2026-11-27' }).expect(201);
    expect(first.body).toMatchObject({ supplyPlanId: planId, lines: [{}, {}] });
    const twice = await buy.post(path, { lineIds: [lineIds[1], lineIds[2]] });
    const refused = expectProblem(twice, 422, 'rule-broken');
    expect(refused.rule).toBe('plan-line-requisitioned-once');
    expect(refused.detail).toContain(`2 by ${first.body.code}`);
    const none = await buy.post(path, { placeByUntil: '2026-11-27' });
    expect(expectProblem(none, 422, 'rule-broken').rule).toBe('nothing-to-requisition');
    await buy
      .post(`requisitions/${first.body.id}/withdrawals`, { reason: 'Too early' })
      .expect(201);
    const again = await buy.post(path, { lineIds: [lineIds[1], lineIds[2]] }).expect(201);
    await decide(again.body.id, 'refused').expect(201);
    const all = await buy.post(path, { placeByUntil: '2026-12-31' }).expect(201);
    expect(all.body.lines).toHaveLength(3);
    const unknown = await buy.post(path, { lineIds: [randomUUID()] });
    expect(expectProblem(unknown, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/lineIds/0');
    const both = await buy.post(path, { lineIds, placeByUntil: '2026-12-31' });
    expectProblem(both, 422, 'invalid-content');
    await decide(all.body.id).expect(201);
    const { body } = await buy.post(`requisitions/${all.body.id}/orders`, {}).expect(201);
    expect(body.orders).toMatchObject([{ supplyPlanId: planId }, { supplyPlanId: planId }]);
  });

  it('ask for each line once also when several ask at the same time', async () => {
    const at = await market();
    const { planId } = await plan(at);
    const answers = await Promise.all(
      Array.from({ length: 4 }, () =>
        buy.post(`supply-plans/${planId}/requisitions`, { placeByUntil: '2026-12-31' }),
      ),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 422, 422, 422]);
  });

  it('are listed by programme, and not seen by another organisation', async () => {
    const at = await market();
    const { body } = await ask(at, [lineOf(at)]).expect(201);
    const { lines: _l, orders: _o, ...summary } = body;
    const listed = await buy.get(`requisitions?programmeId=${at.programme.id}`).expect(200);
    expect(listed.body.items).toEqual([summary]);
    const stranger = await service.person(['coordinator']);
    expectProblem(await buy.get(`requisitions/${body.id}`, stranger), 404, 'not-found');
    expectProblem(await decide(body.id, 'approved', stranger), 404, 'not-found');
    expectProblem(await decide(body.id, 'approved', people.storekeeper), 403, 'forbidden');
    const foreign = await buy.post(
      'requisitions',
      { programmeId: at.programme.id, reason: 'x', lines: [lineOf(at)] },
      stranger,
    );
    expect(expectProblem(foreign, 422, 'invalid-content').errors?.[0]?.pointer).toBe(
      '/programmeId',
    );
  });

  /** A supply plan of three lines of cement in two weeks, written straight into the tables. */
  async function plan({ programme, villages, cement, bags, yard }: Market) {
    const planId = randomUUID();
    const lineIds = [randomUUID(), randomUUID(), randomUUID()];
    const { coordinator } = people;
    const org = coordinator.organisationId;
    await service.as(coordinator, async (tx) => {
      await tx.sql(
        `insert into supply_plan (organisation_id, id, programme_id, code, starts_on, period_count, period_days,
           priced_on, currency, engine_version, status, total_amount, lower_bound_amount, gap_ratio,
           solver_time_s, settings, needs_digest, comparison, decomposition, cost_parts, created_by_id)
         values ($1, $2, $3, $4, '2026-11-16', 6, 7, '2026-11-16', 'EUR', 'test', 'optimal', 0, 0, 0, 0,
           '{}', 'x', '{}', '{}', '{}', $5)`,
        [org, planId, programme.id, `SP-${planId.slice(0, 8)}`, coordinator.personId],
      );
      for (const [index, id] of lineIds.entries()) {
        await tx.sql(
          `insert into supply_plan_line (organisation_id, id, supply_plan_id, position, supplier_id, offer_id,
             material_id, delivery_village_id, unit_code, place_by, arrives_on, pack_code, pack_content,
             pack_count, quantity, price_per_pack, amount, covers, explanation)
           values ($1, $2, $3, $4, $5, $6, $7, $8, 'KGM', $9, $10, 'X5M', 50, 6, 300, 7.45, 44.70, '[]', '{}')`,
          [
            ...[org, id, planId, index + 1, yard.id, bags.id, cement.id, villages[0]],
            index < 2 ? '2026-11-25' : '2026-12-09',
            index < 2 ? '2026-12-02' : '2026-12-16',
          ],
        );
      }
    });
    return { planId, lineIds };
  }
});
