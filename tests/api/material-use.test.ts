import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { MaterialConsumption } from '../../shared/contract/material-use.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { makeBuild, makePlaces } from '../support/factories.ts';
import { lotsOf } from '../support/made-lots.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-15';

let service: TestService;
let keeper: TestPerson;
let stock: ReturnType<typeof lotsOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => TODAY } });
  keeper = await service.person(['storekeeper', 'coordinator']);
  stock = lotsOf(service, keeper, TODAY);
});
afterAll(() => service.close());

/** A bill line of that material beside the lines that a made build has. */
async function billed(
  buildId: string,
  materialId: string,
  quantities: { net: string; withWaste: string; offerId?: string },
) {
  await service.as(keeper, (tx) =>
    tx.sql(
      `insert into bill_line (organisation_id, build_id, line_code, position, stage_code, part, material_id, unit_code,
         net_quantity, waste_ratio, with_waste_quantity, offer_id, unit_rate, currency, amount)
       values ($1, $2, $3, 99, 'first-coat', 'wall', $4, 'KGM', $5, 0.1, $6, $7, 1, 'EUR', 100)`,
      [
        keeper.organisationId,
        buildId,
        randomUUID().slice(0, 8),
        materialId,
        quantities.net,
        quantities.withWaste,
        quantities.offerId ?? null,
      ],
    ),
  );
}

describe('the materials of a build', () => {
  // The worked tank: 188.19 kg of cement, 207.01 kg with 10 % waste, 5 bags of 50 kg (reference sheet, by hand)
  it('say what is needed, issued, and to bring back, in whole bags against the decimal need', async () => {
    const cement = await stock.made.material();
    const offer = await stock.made.offer({ materialId: cement.id });
    const store = await stock.made.store();
    const card = { storeId: store.id, materialId: cement.id };
    await stock.entry('receive', { ...card, quantity: '600' }).expect(201);
    const { buildId } = await makeBuild(service, keeper);
    await billed(buildId, cement.id, { net: '188.19', withWaste: '207.01', offerId: offer.id });
    const standing = async () => {
      const { body } = await stock.get(`builds/${buildId}/materials`).expect(200);
      return body.materials.find((each: { materialId: string }) => each.materialId === cement.id);
    };
    expect(await standing()).toMatchObject({
      neededQuantity: '207.01',
      outstandingQuantity: '207.01',
      packCode: 'X5M',
      packContent: '50',
      neededPacks: 5,
      outstandingPacks: 5,
      returnablePacks: 0,
    });
    await stock.entry('issue', { ...card, quantity: '350', buildId }).expect(201);
    await stock.entry('return', { ...card, quantity: '50', buildId }).expect(201);
    expect(await standing()).toMatchObject({
      issuedQuantity: '350',
      returnedQuantity: '50',
      atBuildQuantity: '300',
      outstandingQuantity: '0',
      returnableQuantity: '92.99',
      returnablePacks: 1,
    });
    const stranger = await service.person(['storekeeper']);
    expectProblem(await stock.get(`builds/${buildId}/materials`, stranger), 404, 'not-found');
  });
});

describe('the consumption of a programme', () => {
  async function season(buildCount: number) {
    const places = await makePlaces(service, keeper);
    const cement = await stock.made.material();
    const store = await stock.made.store();
    const card = { storeId: store.id, materialId: cement.id };
    await stock.entry('receive', { ...card, quantity: '100000' }).expect(201);
    const crews = [
      await stock.made.crew({ programmeId: places.programmeId }),
      await stock.made.crew({ programmeId: places.programmeId }),
    ];
    const builds: string[] = [];
    for (let index = 0; index < buildCount; index++) {
      const { buildId } = await makeBuild(service, keeper, places);
      await billed(buildId, cement.id, { net: '200', withWaste: '210' });
      await service.as(keeper, (tx) =>
        tx.sql(
          `update build set crew_id = $2, handed_over_on = '2026-12-01', status = 'handed-over' where id = $1`,
          [buildId, crews[index % 2]?.id],
        ),
      );
      await stock.entry('issue', { ...card, quantity: '250', buildId }).expect(201);
      await stock.entry('return', { ...card, quantity: '20', buildId }).expect(201);
      builds.push(buildId);
    }
    const list = async (query: string): Promise<MaterialConsumption[]> => {
      const path = `programmes/${places.programmeId}/material-consumption?materialId=${cement.id}`;
      return (await stock.get(`${path}&${query}`).expect(200)).body.items;
    };
    return { ...places, cement, card, crews, builds, list };
  }

  // by hand: five builds of 200 net, 210 by the bill, 250 − 20 = 230 used: 1150 / 1000 − 1 = 0.15
  it('teaches a waste from five handed-over builds, beside that of the bill', async () => {
    const at = await season(5);
    const [all] = await at.list('groupBy=material');
    expect(all).toMatchObject({
      materialCode: at.cement.code,
      buildCount: 5,
      netQuantity: '1000',
      billQuantity: '1050',
      issuedQuantity: '1250',
      returnedQuantity: '100',
      usedQuantity: '1150',
      differenceQuantity: '100',
      learnedWaste: { buildCount: 5, tooFew: false },
    });
    expect(all?.billWasteRatio).toBeCloseTo(0.05, 12);
    expect(all?.learnedWaste?.wasteRatio).toBeCloseTo(0.15, 12);
    const byCrew = await at.list('groupBy=crew');
    expect(
      byCrew.map(({ crewId, buildCount, usedQuantity }) => [crewId, buildCount, usedQuantity]),
    ).toEqual(
      [...at.crews]
        .sort((a, b) => (a.code < b.code ? -1 : 1))
        .map(({ id }) => (id === at.crews[0]?.id ? [id, 3, '690'] : [id, 2, '460'])),
    );
    expect(await at.list(`groupBy=crew&crewId=${at.crews[1]?.id}`)).toHaveLength(1);
    expect(byCrew[0]?.learnedWaste).toBeNull();
  });

  it('says that too few builds tell, and leaves builds under way out of the learning', async () => {
    const at = await season(4);
    const open = await makeBuild(service, keeper, at);
    await billed(open.buildId, at.cement.id, { net: '200', withWaste: '210' });
    await stock.entry('issue', { ...at.card, quantity: '50', buildId: open.buildId }).expect(201);
    const [all] = await at.list('groupBy=material');
    expect(all).toMatchObject({
      buildCount: 5,
      usedQuantity: '970',
      learnedWaste: { buildCount: 4, wasteRatio: null, tooFew: true },
    });
    expect(await at.list('groupBy=material&isHandedOver=false')).toMatchObject([
      { buildCount: 1, usedQuantity: '50', differenceQuantity: '-160' },
    ]);
  });

  it('lists builds by code, page by page, without cancelled ones', async () => {
    const at = await season(3);
    await service.as(keeper, (tx) =>
      tx.sql(`update build set cancelled_on = '2026-12-02' where id = $1`, [at.builds[0]]),
    );
    const path = `programmes/${at.programmeId}/material-consumption?groupBy=build&limit=1`;
    const first = (await stock.get(path).expect(200)).body;
    const rest = (await stock.get(`${path}&cursor=${first.nextCursor}`).expect(200)).body;
    const items: MaterialConsumption[] = [...first.items, ...rest.items];
    expect(rest.nextCursor).toBeNull();
    expect(items.map(({ buildCode }) => buildCode)).toEqual(
      items.map(({ buildCode }) => buildCode).sort(),
    );
    expect(new Set(items.map(({ buildId }) => buildId))).toEqual(new Set(at.builds.slice(1)));
    expect(items[0]).toMatchObject({ usedQuantity: '230', billQuantity: '210', buildCount: 1 });
    const odd = await stock.get(`programmes/${at.programmeId}/material-consumption?groupBy=day`);
    expect(expectProblem(odd, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/groupBy');
    const lost = await stock.get(`programmes/${randomUUID()}/material-consumption`);
    expectProblem(lost, 404, 'not-found');
  });
});
