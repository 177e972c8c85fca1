import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  contribution as contributionShape,
  dispatchGate,
} from '../../shared/contract/contribution.ts';
import { makeBuild } from '../support/factories.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-10';

let service: TestService;
let coordinator: TestPerson;
let supervisor: TestPerson;
let made: ReturnType<typeof recordsOf>;
let programmeId: string;

beforeAll(async () => {
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator']);
  supervisor = await service.person(['supervisor'], coordinator.organisationId);
  made = recordsOf(service, coordinator);
  programmeId = (await made.programme()).id;
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);
const patch = (path: string, version: number, body: object) =>
  service.http
    .patch(`/v1/${path}`)
    .set(coordinator.auth)
    .set('if-match', `"v${version}"`)
    .send(body);

const terms = {
  agreedQuantity: '42',
  valuationRule: 'Pit price of the district list of October',
  unitRate: '14',
  currency: 'EUR',
  agreedOn: '2026-11-01',
  dueOn: '2026-12-01',
  evidence: 'Agreement VA-7',
};

const agreement = async (fields: { villageId?: string; materialId?: string } & object = {}) => ({
  programmeId,
  villageId: fields.villageId ?? (await made.village()).id,
  materialId:
    fields.materialId ?? (await made.material({ category: 'aggregate', unitCode: 'MTQ' })).id,
  ...terms,
  ...fields,
});

const agree = async (fields: Parameters<typeof agreement>[0] = {}) =>
  made.make('contributions', await agreement(fields));

const give = (id: string, quantity: string, fields: object = {}, who = supervisor) =>
  post(
    `contributions/${id}/records`,
    { quantity, observedOn: '2026-11-20', evidence: 'Weighing note 3', ...fields },
    who,
  );

const read = async (id: string) =>
  contributionShape.parse((await get(`contributions/${id}`).expect(200)).body);

const gateOf = async (villageId: string) =>
  dispatchGate.parse(
    (await get(`villages/${villageId}/dispatch-gate?programmeId=${programmeId}`).expect(200)).body,
  );

describe('a contribution', () => {
  it('says what was agreed, what came, what is missing and what both are worth', async () => {
    const { id } = await agree();
    expect(await read(id)).toMatchObject({
      unitCode: 'MTQ',
      status: 'missing',
      isOverdue: true,
      givenQuantity: '0',
      missingQuantity: '42',
      agreedValue: { amount: '588.00', currency: 'EUR' },
      givenValue: { amount: '0.00', currency: 'EUR' },
      endedOn: null,
    });
    await give(id, '12.5').expect(201);
    expect(await read(id)).toMatchObject({
      status: 'missing',
      givenQuantity: '12.5',
      missingQuantity: '29.5',
      givenValue: { amount: '175.00' },
    });
    await give(id, '30').expect(201);
    expect(await read(id)).toMatchObject({
      status: 'given',
      isOverdue: false,
      givenQuantity: '42.5',
      missingQuantity: '0',
      givenValue: { amount: '595.00' },
    });
  });

  it('adds up to the worked example of an in-kind ledger', async () => {
    // 120 tanks · 9 days · 8.50 + 120 · 0.35 m³ sand · 14 = 9,180 + 588 = 9,768, figures invented
    const villageId = (await made.village()).id;
    const labour = await made.material({ category: 'labour', unitCode: 'DAY' });
    const days = await agree({
      villageId,
      materialId: labour.id,
      ...{ agreedQuantity: '1080', unitRate: '8.50' },
    });
    const sand = await agree({ villageId });
    await give(days.id, '1080', { evidence: 'Attendance sheets AS-1 to AS-40' }).expect(201);
    await give(sand.id, '42').expect(201);
    const { body } = await get(`contributions?villageId=${villageId}`).expect(200);
    const values = body.items.map((item: { givenValue: { amount: string } }) =>
      Number(item.givenValue.amount),
    );
    expect(values.sort()).toEqual([588, 9180]);
    expect(values[0] + values[1]).toBe(9768);
  });

  it('posts each record as a paid cost in kind, and takes both back together', async () => {
    const { id } = await agree();
    const record = (await give(id, '10').expect(201)).body;
    expect(record).toMatchObject({ quantity: '10', value: { amount: '140.00' } });
    const cost = (await get(`cost-entries/${record.costEntryId}`).expect(200)).body;
    expect(cost).toMatchObject({
      programmeId,
      funding: 'in-kind',
      state: 'paid',
      occurredOn: '2026-11-20',
      evidence: 'Weighing note 3',
      amount: { amount: '140.00', currency: 'EUR' },
    });
    const path = `contributions/${id}/records/${record.id}/reversals`;
    const back = { observedOn: '2026-11-25', reason: 'counted twice' };
    const reversal = (await post(path, back, supervisor).expect(201)).body;
    expect(reversal).toMatchObject({
      quantity: '-10',
      reversesId: record.id,
      value: { amount: '-140.00' },
    });
    const reversed = (await get(`cost-entries/${reversal.costEntryId}`).expect(200)).body;
    expect(reversed).toMatchObject({ amount: { amount: '-140.00' }, reversesId: cost.id });
    expect(await read(id)).toMatchObject({ givenQuantity: '0', givenValue: { amount: '0.00' } });
    const listed = (await get(`contributions/${id}/records`).expect(200)).body.items;
    expect(listed).toEqual([record, reversal]);
    const rules = [
      [path, back, 'reversed-already'],
      [`contributions/${id}/records/${reversal.id}/reversals`, back, 'reversal-of-reversal'],
    ] as const;
    for (const [address, body, rule] of rules) {
      expect(expectProblem(await post(address, body, supervisor), 422, 'rule-broken').rule).toBe(
        rule,
      );
    }
    const early = (await give(id, '1').expect(201)).body;
    const refused = await post(`contributions/${id}/records/${early.id}/reversals`, {
      ...back,
      observedOn: '2026-11-01',
    });
    expect(expectProblem(refused, 422, 'rule-broken').rule).toBe('reversal-before-record');
  });

  it('costs nothing at a rate of 0, and counts a record that comes again once', async () => {
    const { id } = await agree({ ...{ unitRate: '0' } });
    const recordId = randomUUID();
    const first = await give(id, '5', { id: recordId }).expect(201);
    expect(first.body).toMatchObject({ costEntryId: null, value: { amount: '0.00' } });
    expect((await give(id, '5', { id: recordId }).expect(201)).body).toEqual(first.body);
    expectProblem(await give(id, '6', { id: recordId }), 409, 'conflict');
    expect(await read(id)).toMatchObject({ givenQuantity: '5' });
  });

  it('is one at a time for a village and a material, and ends once', async () => {
    const body = await agreement();
    const { id } = await made.make('contributions', body);
    expectProblem(await post('contributions', body), 409, 'conflict');
    await give(id, '3').expect(201);
    const ended = await patch(`contributions/${id}`, 1, { endedOn: TODAY }).expect(200);
    expect(ended.body).toMatchObject({ status: 'ended', endedOn: TODAY, givenQuantity: '3' });
    for (const refused of [
      await give(id, '1'),
      await patch(`contributions/${id}`, 2, { dueOn: '2027-01-01' }),
    ]) {
      expect(expectProblem(refused, 422, 'rule-broken').rule).toBe('contribution-ended');
    }
    await post('contributions', body).expect(201);
  });

  it.each([
    [{ agreedQuantity: '0' }, '/agreedQuantity'],
    [{ unitRate: '-1' }, '/unitRate'],
    [{ valuationRule: ' ' }, '/valuationRule'],
    [{ evidence: '' }, '/evidence'],
    [{ dueOn: '2026-10-31' }, '/dueOn'],
    [{ agreedOn: '2026-12-11', dueOn: '2026-12-12' }, '/agreedOn'],
    [{ currency: 'EUX' }, '/currency'],
    [{ materialId: randomUUID() }, '/materialId'],
    [{ villageId: randomUUID() }, '/villageId'],
    [{ programmeId: randomUUID() }, '/programmeId'],
  ])('refuses %o', async (fields, pointer) => {
    const { errors } = expectProblem(
      await post('contributions', await agreement(fields)),
      422,
      'invalid-content',
    );
    expect(errors?.map((error) => error.pointer)).toContain(pointer);
  });

  it('refuses records without evidence, of nothing, or of tomorrow', async () => {
    const { id } = await agree();
    const pointers = [];
    for (const fields of [{ evidence: '' }, { quantity: '0' }, { observedOn: '2026-12-11' }]) {
      const { errors } = expectProblem(await give(id, '1', fields), 422, 'invalid-content');
      pointers.push(errors?.[0]?.pointer);
    }
    expect(pointers).toEqual(['/evidence', '/quantity', '/observedOn']);
    expect((await get(`contributions/${id}/records`)).body.items).toEqual([]);
  });

  it('is hidden from other organisations, and agreed and waived by coordinators', async () => {
    const { id } = await agree();
    const other = await service.person(['coordinator']);
    expectProblem(await get(`contributions/${id}`, other), 404, 'not-found');
    expectProblem(await give(id, '1', {}, other), 404, 'not-found');
    const waiver = { reason: 'r' };
    expectProblem(await post(`contributions/${id}/waivers`, waiver, other), 404, 'not-found');
    expectProblem(await post(`contributions/${id}/waivers`, waiver, supervisor), 403, 'forbidden');
    expectProblem(await post('contributions', await agreement(), supervisor), 403, 'forbidden');
    const keeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await give(id, '1', {}, keeper), 403, 'forbidden');
  });

  it('carries a photograph of the signed sheet', async () => {
    const { id } = await agree();
    // a picture of one white point, made by hand
    const png = Buffer.from(
      'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGP4DwABAQEAsTj2FAAAAABJRU5ErkJggg==',
      'base64',
    );
    const query = `noun=contribution&recordId=${id}&fileName=sheet.png`;
    const sent = await service.http
      .post(`/v1/attachments?${query}`)
      .set(supervisor.auth)
      .type('image/png')
      .send(png);
    expect(sent.status, sent.text).toBe(201);
    expect(sent.body).toMatchObject({ noun: 'contribution', recordId: id });
  });
});

describe('the gate of a village', () => {
  it('is closed while an agreed input is missing, and says which', async () => {
    const villageId = (await made.village()).id;
    expect(await gateOf(villageId)).toMatchObject({ state: 'open', missing: [], waived: [] });
    const { id } = await agree({ villageId });
    await agree({ villageId, ...{ gatesDispatch: false } });
    await give(id, '12').expect(201);
    const closed = await gateOf(villageId);
    expect(closed.state).toBe('closed');
    expect(closed.missing).toMatchObject([
      { contributionId: id, agreedQuantity: '42', givenQuantity: '12', missingQuantity: '30' },
    ]);
    await give(id, '30').expect(201);
    expect(await gateOf(villageId)).toMatchObject({ state: 'open', missing: [] });
  });

  it('opens for what a coordinator waives, once, and closes again on a reversal', async () => {
    const villageId = (await made.village()).id;
    const [sand, stone] = [await agree({ villageId }), await agree({ villageId })];
    const record = (await give(stone.id, '42').expect(201)).body;
    const waive = (id: string) =>
      post(`contributions/${id}/waivers`, { reason: 'The pit is flooded; sand is bought' });
    const waiver = (await waive(sand.id).expect(201)).body;
    expect(waiver).toMatchObject({ waivedOn: TODAY, waivedById: coordinator.personId });
    expect((await get(`contributions/${sand.id}/waivers`)).body.items).toEqual([waiver]);
    expect(await gateOf(villageId)).toMatchObject({
      state: 'open',
      missing: [],
      waived: [{ contributionId: sand.id }],
    });
    for (const id of [sand.id, stone.id]) {
      expect(expectProblem(await waive(id), 422, 'rule-broken').rule).toBe('nothing-to-waive');
    }
    const back = { observedOn: TODAY, reason: 'stone of another village' };
    await post(`contributions/${stone.id}/records/${record.id}/reversals`, back).expect(201);
    expect(await gateOf(villageId)).toMatchObject({
      state: 'closed',
      missing: [{ contributionId: stone.id }],
    });
    await patch(`contributions/${stone.id}`, 1, { endedOn: TODAY }).expect(200);
    expect((await gateOf(villageId)).state).toBe('open');
  });

  it('stops the issue of materials to the builds of the village', async () => {
    const build = await makeBuild(service, coordinator);
    const both = { programmeId: build.programmeId, villageId: build.villageId };
    const sand = await agree(both);
    await give(sand.id, '40').expect(201);
    const keeper = await service.person(['storekeeper'], coordinator.organisationId);
    const [store, wire] = [await made.store(), await made.material({ category: 'steel' })];
    const card = { storeId: store.id, materialId: wire.id, observedOn: TODAY };
    const received = { ...card, kind: 'receive', quantity: '20' };
    await post('stock-entries', received, keeper).expect(201);
    const issue = () =>
      post(
        'stock-issues',
        {
          storeId: store.id,
          buildId: build.buildId,
          observedOn: TODAY,
          lines: [{ materialId: wire.id, quantity: '5' }],
        },
        keeper,
      );
    const refused = expectProblem(await issue(), 422, 'rule-broken');
    expect(refused.rule).toBe('contributions-not-there');
    expect(refused.detail).toContain('40 of 42 MTQ');
    expect(refused.errors).toMatchObject([{ code: 'contribution.missing' }]);
    await give(sand.id, '2').expect(201);
    await issue().expect(201);
  });

  it('is asked for a village and a programme that there are', async () => {
    const village = await made.village();
    const path = (villageId: string, programme: string) =>
      `villages/${villageId}/dispatch-gate?programmeId=${programme}`;
    expectProblem(await get(path(randomUUID(), programmeId)), 404, 'not-found');
    expectProblem(await get(path(village.id, randomUUID())), 404, 'not-found');
    expectProblem(await get(`villages/${village.id}/dispatch-gate`), 422, 'invalid-content');
    const other = await service.person(['coordinator']);
    expectProblem(await get(path(village.id, programmeId), other), 404, 'not-found');
  });
});
