import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bill, bill } from '../../shared/contract/bill.ts';
import { priceSensitivity } from '../../shared/contract/price-sensitivity.ts';
import { micro, sumOf } from '../support/exact.ts';
import {
  makeCatalogue,
  makeGrants,
  makeOffers,
  makeRevision,
  makeSeason,
  makeSites,
  type Season,
} from '../support/season.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let season: Season;
let grants: string[];
let buildIds: string[];

/** Three builds: two in the first village, one in the second; shares 1, halves and thirds. */
beforeAll(async () => {
  service = await startTestService();
  season = await makeSeason(service);
  const materials = await makeCatalogue(service, season);
  await makeOffers(
    service,
    season,
    [...materials.values()].map((materialId, index) => ({
      materialId,
      pricePerPack: `${index}.${11 + index}`,
    })),
  );
  const designRevisionId = await makeRevision(service, season);
  grants = await makeGrants(service, season, 3);
  const [a = '', b = '', c = ''] = grants;
  const sites = await makeSites(service, season, [
    { code: 'H-1' },
    { code: 'H-2' },
    { code: 'H-3', villageId: season.villageIds[1] ?? '' },
  ]);
  const shares = [
    [{ grantId: a, shareRatio: '1' }],
    [
      { grantId: a, shareRatio: '0.5' },
      { grantId: b, shareRatio: '0.5' },
    ],
    [
      { grantId: a, shareRatio: '0.33333333' },
      { grantId: b, shareRatio: '0.33333333' },
      { grantId: c, shareRatio: '0.33333334' },
    ],
  ];
  buildIds = [];
  for (const [index, siteId] of sites.entries()) {
    const made = await service.http
      .post('/v1/builds')
      .set(season.coordinator.auth)
      .send({ siteId, designRevisionId, pricedOn: '2026-10-01', grantShares: shares[index] })
      .expect(201);
    buildIds.push(made.body.id);
  }
});
afterAll(() => service.close());

const get = (query: string) => service.http.get(`/v1/bills?${query}`).set(season.coordinator.auth);

const totals = async (query: string): Promise<Bill> =>
  bill.parse((await get(query).expect(200)).body);

const cents = ({ amount }: { amount: string }) => micro(amount);

describe('bills', () => {
  it('totals a build by part, stage and material, all from the same lines', async () => {
    const [buildId = ''] = buildIds;
    const found = await totals(`buildId=${buildId}`);
    const { body: lines } = await service.http
      .get(`/v1/builds/${buildId}/bill`)
      .set(season.coordinator.auth)
      .expect(200);
    expect(found).toMatchObject({ buildId, villageId: null, buildCount: 1, currency: 'EUR' });
    expect(found.amount).toEqual(lines.amount);
    expect(found.inKindAmount).toEqual(lines.inKindAmount);
    const groups: readonly Pick<Bill, 'amount' | 'inKindAmount'>[][] = [
      found.byPart,
      found.byStage,
      found.byMaterial,
    ];
    for (const group of groups) {
      expect(sumOf(group, ({ amount }) => cents(amount))).toBe(cents(found.amount));
      expect(sumOf(group, ({ inKindAmount }) => cents(inKindAmount))).toBe(
        cents(found.inKindAmount),
      );
    }
    const cement = found.byMaterial.find(({ materialCode }) => materialCode === 'cement');
    const cementLines = lines.lines.filter(
      (line: { materialCode: string }) => line.materialCode === 'cement',
    );
    expect(cementLines.length).toBeGreaterThan(5);
    for (const key of ['netQuantity', 'withWasteQuantity'] as const) {
      expect(micro(cement?.[key] ?? '0')).toBe(
        sumOf(cementLines as Record<typeof key, string>[], (line) => micro(line[key])),
      );
    }
    expect(found.byStage[0]?.stageCode).toBe('ground-and-slab');
    const sand = found.byMaterial.find(({ materialCode }) => materialCode === 'sand');
    expect(cents(sand?.amount ?? { amount: '1' })).toBe(0n);
    expect(cents(sand?.inKindAmount ?? { amount: '0' })).toBeGreaterThan(0n);
  });

  it('adds builds up to villages, villages to the programme', async () => {
    const builds = await Promise.all(buildIds.map((id) => totals(`buildId=${id}`)));
    const [first = '', second = ''] = season.villageIds;
    const villages = [await totals(`villageId=${first}`), await totals(`villageId=${second}`)];
    const programme = await totals(`programmeId=${season.programmeId}`);
    expect(villages.map(({ buildCount }) => buildCount)).toEqual([2, 1]);
    expect(programme.buildCount).toBe(3);
    const sum = (bills: Bill[]) => sumOf(bills, ({ amount }) => cents(amount));
    expect(sum(builds)).toBe(cents(programme.amount));
    expect(sum(villages)).toBe(cents(programme.amount));
    const both = await totals(`programmeId=${season.programmeId}&villageId=${first}`);
    expect(both.amount).toEqual(villages[0]?.amount);
  });

  it('splits each build over its grants to the last cent and the last unit', async () => {
    const programme = await totals(`programmeId=${season.programmeId}`);
    const [a, b, c] = await Promise.all(grants.map((id) => totals(`grantId=${id}`)));
    const all = [a, b, c] as Bill[];
    expect(all.map(({ buildCount }) => buildCount)).toEqual([3, 2, 1]);
    for (const key of ['amount', 'inKindAmount'] as const) {
      expect(sumOf(all, (one) => cents(one[key]))).toBe(cents(programme[key]));
    }
    for (const material of programme.byMaterial) {
      const parts = all.flatMap((one) =>
        one.byMaterial.filter(({ materialId }) => materialId === material.materialId),
      );
      expect(sumOf(parts, (part) => cents(part.amount))).toBe(cents(material.amount));
      for (const key of ['netQuantity', 'withWasteQuantity'] as const) {
        expect(sumOf(parts, (part) => micro(part[key]))).toBe(micro(material[key]));
      }
    }
    // the odd cents of 91 lines go round: the grant of halves and thirds is near 5/6 of one build
    const one = await totals(`buildId=${buildIds[0]}`);
    const expected = (cents(one.amount) * 5n) / 6n;
    const off = cents((b as Bill).amount) - expected;
    expect(off < 200_000n && off > -200_000n).toBe(true);
  });

  it('leaves cancelled builds out, except where one is named', async () => {
    const [siteId = ''] = await makeSites(service, season, [{ code: 'H-9' }]);
    const programme = await totals(`programmeId=${season.programmeId}`);
    const made = await service.http
      .post('/v1/builds')
      .set(season.coordinator.auth)
      .send({
        siteId,
        designRevisionId: (
          await service.http.get(`/v1/builds/${buildIds[0]}`).set(season.coordinator.auth)
        ).body.designRevisionId,
        pricedOn: '2026-10-01',
        grantShares: [{ grantId: grants[0], shareRatio: '1' }],
      })
      .expect(201);
    await service.http
      .post(`/v1/builds/${made.body.id}/cancellations`)
      .set(season.coordinator.auth)
      .send({ reason: 'Roof fell in' })
      .expect(200);
    expect(await totals(`programmeId=${season.programmeId}`)).toEqual(programme);
    expect((await totals(`buildId=${made.body.id}`)).buildCount).toBe(1);
  });

  it('downloads the finest totals as CSV that add up', async () => {
    const file = await service.http
      .get(`/v1/bills.csv?programmeId=${season.programmeId}`)
      .set(season.coordinator.auth)
      .expect(200);
    expect(file.headers['content-type']).toContain('text/csv');
    expect(file.headers['content-disposition']).toContain('bill.csv');
    const rows = parse(file.text, { columns: true, bom: true }) as Record<string, string>[];
    const found = await totals(`programmeId=${season.programmeId}`);
    expect(rows).toHaveLength(found.lines.length);
    const paid = rows.filter((row) => row.in_kind === 'no');
    expect(sumOf(paid, (row) => micro(row.amount ?? ''))).toBe(cents(found.amount));
    expect(rows[0]).toMatchObject({ stage: 'ground-and-slab', currency: 'EUR' });
  });

  it.each(['cash', 'with-in-kind'] as const)(
    'says which price and waste move the cost per litre most, %s',
    async (basis) => {
      const [buildId = ''] = buildIds;
      const read = await service.http
        .get(`/v1/builds/${buildId}/price-sensitivity?basis=${basis}&rangeRatio=0.2`)
        .set(season.coordinator.auth)
        .expect(200);
      const found = priceSensitivity.parse(read.body);
      const { byMaterial, amount, inKindAmount } = await totals(`buildId=${buildId}`);
      const isCash = basis === 'cash';
      const amountOf = (one: Pick<Bill, 'amount' | 'inKindAmount'>) =>
        Number(one.amount.amount) + (isCash ? 0 : Number(one.inKindAmount.amount));
      const total = amountOf({ amount, inKindAmount });
      // π/4 · 1.9² · 1.8 m; each of 91 lines is rounded to the cent
      expect(found.capacityL).toBeCloseTo(5103.52, 2);
      expect(Math.abs(Number(found.capitalCost.amount) - total)).toBeLessThan(0.5);
      expect(Number(found.costPerUsableL)).toBeCloseTo(total / 5103.52, 4);
      const prices = found.factors.filter(({ kind }) => kind === 'unit-price');
      const counted = byMaterial.filter((one) => amountOf(one) > 0);
      expect(prices).toHaveLength(counted.length);
      for (const material of counted) {
        const { materialCode: code, netQuantity, withWasteQuantity } = material;
        const share = amountOf(material) / total;
        const of = (kind: string) =>
          found.factors.find((factor) => factor.kind === kind && factor.code === code);
        const price = of('unit-price')?.costPerUsableL;
        // the swing of a price is its share times twice the range
        expect(price?.elasticity).toBeCloseTo(share, 3);
        expect(price?.swingRatio).toBeCloseTo(0.4 * share, 3);
        const waste = 1 - Number(netQuantity) / Number(withWasteQuantity);
        expect(of('waste-ratio')?.costPerUsableL.elasticity).toBeCloseTo(share * waste, 3);
      }
      const dearest = counted.toSorted((a, b) => amountOf(b) - amountOf(a))[0];
      expect(found.factors[0]).toMatchObject({
        kind: 'unit-price',
        code: dearest?.materialCode,
        materialId: dearest?.materialId,
      });
      expect(found.factors.some(({ isInKind }) => isInKind)).toBe(!isCash);
      const sum = prices.reduce((all, one) => all + (one.costPerUsableL.elasticity ?? 0), 0);
      expect(sum).toBeCloseTo(1, 10);
    },
  );

  it('refuses a sensitivity of another organisation, and of a range beyond 0.9', async () => {
    const stranger = await service.person(['coordinator']);
    const at = `/v1/builds/${buildIds[0]}/price-sensitivity`;
    expectProblem(await service.http.get(at).set(stranger.auth), 404, 'not-found');
    const wide = service.http.get(`${at}?rangeRatio=1`).set(season.coordinator.auth);
    expect(expectProblem(await wide, 422, 'invalid-content').errors?.[0]?.pointer).toBe(
      '/rangeRatio',
    );
  });

  it('wants one scope, hides those of others, and asks for a currency where there are two', async () => {
    expectProblem(await get(''), 422, 'invalid-content');
    expectProblem(await get(`buildId=${buildIds[0]}&grantId=${grants[0]}`), 422, 'invalid-content');
    const stranger = await service.person(['coordinator']);
    const foreign = await service.http
      .get(`/v1/bills?programmeId=${season.programmeId}`)
      .set(stranger.auth);
    expectProblem(foreign, 404, 'not-found');
    const empty = await makeSeason(service);
    const none = bill.parse(
      (
        await service.http
          .get(`/v1/bills?programmeId=${empty.programmeId}`)
          .set(empty.coordinator.auth)
          .expect(200)
      ).body,
    );
    expect(none).toMatchObject({
      buildCount: 0,
      amount: { amount: '0.00', currency: 'EUR' },
      lines: [],
    });
    const village = await service.http
      .get(`/v1/bills?villageId=${empty.villageIds[0]}`)
      .set(empty.coordinator.auth);
    expect(expectProblem(village, 422, 'rule-broken').rule).toBe('village-without-builds');
    await service.as(season.coordinator, (tx) =>
      tx.sql(`update bill_line set currency = 'UGX' where build_id = $1`, [buildIds[1]]),
    );
    const mixed = expectProblem(await get(`villageId=${season.villageIds[0]}`), 422, 'rule-broken');
    expect(mixed.rule).toBe('bill-in-several-currencies');
  });
});
