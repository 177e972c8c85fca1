import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { makeBuild } from '../support/factories.ts';
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
let coordinator: TestPerson;
let stock: ReturnType<typeof lotsOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => TODAY } });
  keeper = await service.person(['storekeeper', 'coordinator']);
  coordinator = await service.person(['coordinator'], keeper.organisationId);
  stock = lotsOf(service, keeper, TODAY);
});
afterAll(() => service.close());

async function wetCement(received = '50') {
  const cement = await stock.cement();
  const store = await stock.made.store();
  const lot = await stock.newLot(cement.id, { code: 'WET' });
  await stock.receive(store.id, lot, received);
  const ask = (quantity: string, fields: object = {}) =>
    stock.post('write-offs', {
      storeId: store.id,
      materialId: cement.id,
      lotId: lot.id,
      quantity,
      observedOn: TODAY,
      reason: 'Roof leaked on the stack',
      ...fields,
    });
  const decide = (id: string, decision: string, who = coordinator) =>
    stock.post(`write-offs/${id}/decisions`, { decision, remarks: 'Seen' }, who);
  return { cement, store, lot, ask, decide };
}

describe('a write-off', () => {
  it('leaves the ledger when another person approves it, not before', async () => {
    const at = await wetCement();
    const asked = (await at.ask('20').expect(201)).body;
    expect(asked).toMatchObject({ state: 'requested', lotCode: 'WET', quantity: '20' });
    expect(await stock.lotBalances(at.store.id)).toEqual({ WET: '50' });
    const waiting = `write-offs?storeId=${at.store.id}&state=requested`;
    expect((await stock.get(waiting).expect(200)).body.items).toEqual([asked]);
    const { body } = await at.decide(asked.id, 'approved').expect(201);
    expect(body).toMatchObject({
      writeOff: { state: 'approved', decidedById: coordinator.personId, decisionRemarks: 'Seen' },
      entry: {
        kind: 'write-off',
        quantity: '-20',
        balanceAfter: '30',
        writeOffRequestId: asked.id,
        reason: 'Roof leaked on the stack',
      },
    });
    expect(await stock.lotBalances(at.store.id)).toEqual({ WET: '30' });
    const again = await at.decide(asked.id, 'refused');
    expect(expectProblem(again, 422, 'rule-broken').rule).toBe('write-off-decided');
    expect((await stock.get(waiting).expect(200)).body.items).toEqual([]);
  });

  it('is not decided by whoever asked, nor by a role that may not', async () => {
    const at = await wetCement();
    const { id } = (await at.ask('20').expect(201)).body;
    const own = await at.decide(id, 'approved', keeper);
    expect(expectProblem(own, 422, 'rule-broken').rule).toBe('write-off-needs-two');
    const other = await service.person(['storekeeper'], keeper.organisationId);
    expectProblem(await at.decide(id, 'approved', other), 403, 'forbidden');
    const stranger = await service.person(['coordinator']);
    expectProblem(await at.decide(id, 'approved', stranger), 404, 'not-found');
    expect(await stock.lotBalances(at.store.id)).toEqual({ WET: '50' });
  });

  it('that is sent again with its id is asked for once', async () => {
    const at = await wetCement();
    const id = randomUUID();
    const first = await at.ask('20', { id }).expect(201);
    expect((await at.ask('20', { id }).expect(201)).body).toEqual(first.body);
    expectProblem(await at.ask('21', { id }), 409, 'conflict');
  });

  it('that is refused moves nothing', async () => {
    const at = await wetCement();
    const { id } = (await at.ask('20').expect(201)).body;
    const { body } = await at.decide(id, 'refused').expect(201);
    expect(body).toMatchObject({ writeOff: { state: 'refused' }, entry: null });
    expect(await stock.lotBalances(at.store.id)).toEqual({ WET: '50' });
  });

  it('is approved once when two decide at once', async () => {
    const at = await wetCement();
    const { id } = (await at.ask('20').expect(201)).body;
    const answers = await Promise.all([1, 2, 3].map(() => at.decide(id, 'approved')));
    expect(answers.filter(({ status }) => status === 201)).toHaveLength(1);
    expect(await stock.lotBalances(at.store.id)).toEqual({ WET: '30' });
  });

  it('is checked against the balance when it is asked for and again when it is approved', async () => {
    const at = await wetCement();
    const above = expectProblem(await at.ask('50.5'), 422, 'rule-broken');
    expect(above).toMatchObject({ rule: 'stock-below-zero', stock: { balance: '50' } });
    const { id } = (await at.ask('40').expect(201)).body;
    const { buildId } = await makeBuild(service, keeper);
    const card = { storeId: at.store.id, materialId: at.cement.id };
    await stock.entry('issue', { ...card, quantity: '20', buildId }).expect(201);
    const late = expectProblem(await at.decide(id, 'approved'), 422, 'rule-broken');
    expect(late).toMatchObject({ rule: 'stock-below-zero', stock: { balance: '30' } });
    expect((await stock.get(`write-offs/${id}`).expect(200)).body.state).toBe('requested');
  });

  it.each([
    [{ lotId: undefined }, '/lotId'],
    [{ lotId: randomUUID() }, '/lotId'],
    [{ reason: ' ' }, '/reason'],
    [{ observedOn: '2026-12-16' }, '/observedOn'],
    [{ quantity: '0' }, '/quantity'],
    [{ storeId: randomUUID() }, '/storeId'],
  ])('with %o is refused', async (fields, pointer) => {
    const at = await wetCement();
    const { errors } = expectProblem(await at.ask('1', fields), 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toEqual([pointer]);
  });
});
