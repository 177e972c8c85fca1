import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  made = recordsOf(service, coordinator);
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

const validIds = async (query: string) => {
  const { body } = await get(`offers?${query}`).expect(200);
  return body.items.map((item: { id: string }) => item.id);
};

const broken = (...breaks: { fromPacks: number; pricePerPack?: string }[]) => ({
  priceBreaks: breaks.map((one) => ({ pricePerPack: '7', ...one })),
  breakRule: 'all-units',
});

describe('offers', () => {
  it('keeps a price at the exponent of its currency and the pack with its content', async () => {
    const offer = await made.offer({
      packCode: 'TNE',
      packContent: '1000.000001',
      pricePerPack: '0.12',
      minimumPacks: 3,
    });
    expect((await get(`offers/${offer.id}`).expect(200)).body).toEqual(offer);
    expect(offer).toMatchObject({
      packContent: '1000.000001',
      pricePerPack: '0.12',
      minimumPacks: 3,
      maximumPacks: null,
      orderCost: '0',
      priceBreaks: [],
      breakRule: null,
      withdrawnOn: null,
    });
  });

  it('keeps limits, the cost of ordering and price breaks', async () => {
    const terms = {
      minimumPacks: 5,
      maximumPacks: 400,
      orderCost: '12.5',
      priceBreaks: [
        { fromPacks: 50, pricePerPack: '7.2' },
        { fromPacks: 200, pricePerPack: '6.95' },
      ],
      breakRule: 'incremental',
    };
    const offer = await made.offer(terms);
    expect(offer).toMatchObject(terms);
    expect((await get(`offers/${offer.id}`).expect(200)).body).toEqual(offer);
  });

  it('takes a price in whole units of a currency that has no smaller one', async () => {
    // ISO 4217: the Ugandan shilling has no minor unit [memory]
    expect(await made.offer({ currency: 'UGX', pricePerPack: '28500' })).toMatchObject({
      pricePerPack: '28500',
    });
    const { id: _, withdrawnOn: _w, createdAt: _c, ...body } = await made.offer();
    const answer = await post('offers', { ...body, currency: 'UGX', pricePerPack: '28500.50' });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.[0]).toMatchObject({ pointer: '/pricePerPack', rejectedValue: '28500.50' });
    expect(errors?.[0]?.message).toContain('UGX');
  });

  it('holds from its first day to its last, both included', async () => {
    const { id, materialId } = await made.offer();
    const on = (day: string) => validIds(`materialId=${materialId}&validOn=${day}`);
    expect(await on('2026-09-30')).toEqual([]);
    expect(await on('2026-10-01')).toEqual([id]);
    expect(await on('2027-03-31')).toEqual([id]);
    expect(await on('2027-04-01')).toEqual([]);
  });

  it('is withdrawn once, from a day on', async () => {
    const { id, materialId } = await made.offer();
    const withdrawal = () => post(`offers/${id}/withdrawals`, { withdrawnOn: '2026-12-01' });
    const withdrawn = await withdrawal().expect(200);
    expect(withdrawn.body.withdrawnOn).toBe('2026-12-01');
    const on = (day: string) => validIds(`materialId=${materialId}&validOn=${day}`);
    expect(await on('2026-11-30')).toEqual([id]);
    expect(await on('2026-12-01')).toEqual([]);
    const again = expectProblem(await withdrawal(), 422, 'rule-broken');
    expect(again.rule).toBe('offer-withdrawn-once');
    expect(again.detail).toContain('2026-12-01');
  });

  it('lists by supplier, and never those of another organisation', async () => {
    const supplier = await made.supplier();
    const [first, second] = [
      await made.offer({ supplierId: supplier.id, validFrom: '2026-11-01' }),
      await made.offer({ supplierId: supplier.id }),
    ];
    expect(await validIds(`supplierId=${supplier.id}`)).toEqual([second?.id, first?.id]);
    const other = await service.person(['coordinator']);
    expectProblem(await get(`offers/${first?.id}`, other), 404, 'not-found');
    expectProblem(await post(`offers/${first?.id}/withdrawals`, {}, other), 404, 'not-found');
  });

  it.each([
    [{ packCode: 'bag' }, '/packCode'],
    [{ packContent: '0' }, '/packContent'],
    [{ packContent: '1.0000001' }, '/packContent'],
    [{ pricePerPack: '-1' }, '/pricePerPack'],
    [{ pricePerPack: '1.1234567' }, '/pricePerPack'],
    [{ minimumPacks: 0 }, '/minimumPacks'],
    [{ leadDays: -1 }, '/leadDays'],
    [{ validUntil: '2026-09-01' }, '/validUntil'],
    [{ currency: 'EURO' }, '/currency'],
    [{ pricePerPack: '7.455' }, '/pricePerPack'],
    [{ orderCost: '0.001' }, '/orderCost'],
    [{ orderCost: '-1' }, '/orderCost'],
    [{ minimumPacks: 10, maximumPacks: 9 }, '/maximumPacks'],
    [{ priceBreaks: [{ fromPacks: 50, pricePerPack: '7' }] }, '/breakRule'],
    [{ breakRule: 'all-units' }, '/breakRule'],
    [{ breakRule: 'some-units', priceBreaks: [] }, '/breakRule'],
    [broken({ fromPacks: 50, pricePerPack: '7.45' }), '/priceBreaks/0/pricePerPack'],
    [broken({ fromPacks: 50, pricePerPack: '7.001' }), '/priceBreaks/0/pricePerPack'],
    [{ minimumPacks: 50, ...broken({ fromPacks: 50 }) }, '/priceBreaks/0/fromPacks'],
    [{ maximumPacks: 49, ...broken({ fromPacks: 50 }) }, '/priceBreaks/0/fromPacks'],
    [broken({ fromPacks: 50 }, { fromPacks: 50, pricePerPack: '6' }), '/priceBreaks/1/fromPacks'],
    [broken({ fromPacks: 50 }, { fromPacks: 60 }), '/priceBreaks/1/pricePerPack'],
  ])('refuses %o', async (fields, pointer) => {
    const { id: _, withdrawnOn: _w, createdAt: _c, ...body } = await made.offer();
    const answer = await post('offers', { ...body, ...fields });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toContain(pointer);
  });
});
