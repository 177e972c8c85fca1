import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeBuild } from '../support/factories.ts';
import { clearBill, makeBuildWithBill } from '../support/made-bills.ts';
import { recordsOf } from '../support/made-records.ts';
import { startTestService, type TestPerson, type TestService } from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  made = recordsOf(service, coordinator);
});
afterAll(() => service.close());

const MATERIAL_COUNT = 3;
const micro = (text: string) => BigInt(Math.round(Number(text) * 1e6));

const market = fc.array(
  fc.record({
    material: fc.nat(MATERIAL_COUNT - 1),
    supplier: fc.nat(1),
    contentMicro: fc.integer({ min: 500_000, max: 60_000_000 }),
    priceCents: fc.integer({ min: 0, max: 9_999 }),
    minimumPacks: fc.integer({ min: 1, max: 6 }),
  }),
  { maxLength: 6 },
);

const builds = fc.array(
  fc.record({
    village: fc.nat(1),
    bill: fc.array(
      fc.record({
        material: fc.nat(MATERIAL_COUNT - 1),
        quantityMicro: fc.integer({ min: 1, max: 400_000_000 }),
        isInKind: fc.boolean(),
      }),
      { maxLength: 5 },
    ),
  }),
  { minLength: 1, maxLength: 6 },
);

// What the tables hold is added up by the database itself, apart from the planning code.
const LINE_SUMS_SQL = `
  select o.delivery_village_id || ' ' || l.material_id as key, count(*)::int as line_count,
    sum(l.need_quantity)::text as need,
    bool_and(l.ordered_quantity = l.need_quantity + l.rounding_quantity
      and l.ordered_quantity = l.pack_count * l.pack_content and l.rounding_quantity >= 0) as adds_up
  from purchase_order o
    join purchase_order_line l on l.organisation_id = o.organisation_id and l.order_id = o.id
  where o.programme_id = $1 group by 1`;

interface LineSum {
  key: string;
  line_count: number;
  need: string;
  adds_up: boolean;
}

describe('orders of random builds', () => {
  it('cover each need once: ordered = needs + rounding, to the last digit', async () => {
    const villages = [await made.village(), await made.village()];
    const suppliers = [await made.supplier(), await made.supplier()];
    await fc.assert(
      fc.asyncProperty(market, builds, async (offers, listed) => {
        const like = await makeBuild(service, coordinator);
        await clearBill(service, coordinator, like.buildId);
        const materials: string[] = [];
        for (let n = 0; n < MATERIAL_COUNT; n++) materials.push((await made.material()).id);
        for (const offer of offers) {
          await made.offer({
            materialId: materials[offer.material] ?? '',
            supplierId: suppliers[offer.supplier]?.id ?? '',
            packContent: (offer.contentMicro / 1e6).toFixed(6),
            pricePerPack: (offer.priceCents / 100).toFixed(2),
            minimumPacks: offer.minimumPacks,
          });
        }
        const needs = new Map<string, bigint>();
        for (const { village, bill } of listed) {
          const villageId = villages[village]?.id ?? '';
          const lines = bill.map(({ material, quantityMicro, isInKind }) => ({
            materialId: materials[material] ?? '',
            quantity: (quantityMicro / 1e6).toFixed(6),
            isInKind,
          }));
          await makeBuildWithBill(service, coordinator, like, villageId, lines);
          for (const { materialId, quantity, isInKind } of lines) {
            if (isInKind) continue;
            const key = `${villageId} ${materialId}`;
            needs.set(key, (needs.get(key) ?? 0n) + micro(quantity));
          }
        }
        const plan = () =>
          service.http
            .post(`/v1/programmes/${like.programmeId}/order-plans`)
            .set(coordinator.auth)
            .send({ pricedOn: '2026-11-02' });
        const { status, body } = await plan();
        if (needs.size === 0) {
          expect(body.rule).toBe('nothing-to-order');
          return;
        }
        expect(status).toBe(201);
        const sums = await service.as(coordinator, (tx) =>
          tx.sql<LineSum>(LINE_SUMS_SQL, [like.programmeId]),
        );
        const answered = new Map<string, bigint>();
        for (const { key, line_count, need, adds_up } of sums) {
          expect(line_count).toBe(1);
          expect(adds_up).toBe(true);
          answered.set(key, micro(need));
        }
        for (const need of body.unserved) {
          const key = `${need.deliveryVillageId} ${need.materialId}`;
          expect(answered.has(key)).toBe(false);
          expect(need.reason).toBe('no-offer');
          answered.set(key, micro(need.needQuantity));
        }
        expect(answered).toEqual(needs);

        // by enumeration: no offer covers the need of a line for less money
        const ofKey = (key: string) => (needs.get(key) ?? 0n) as bigint;
        let cheapest = 0n;
        for (const key of sums.map((sum) => sum.key)) {
          const material = materials.findIndex((id) => key.endsWith(id));
          const costs = offers
            .filter((offer) => offer.material === material)
            .map(({ contentMicro, priceCents, minimumPacks }) => {
              const content = BigInt(contentMicro);
              const packs = (ofKey(key) + content - 1n) / content;
              const least = BigInt(minimumPacks);
              return (packs > least ? packs : least) * BigInt(priceCents);
            });
          cheapest += costs.sort((a, b) => (a < b ? -1 : 1))[0] ?? 0n;
        }
        expect(micro(body.comparison.totalAmount.amount)).toBe(cheapest * 10_000n);
        expect(Number(body.comparison.saving.amount)).toBeGreaterThanOrEqual(0);

        const second = await plan();
        if (body.unserved.length === 0) expect(second.body.rule).toBe('nothing-to-order');
        else expect(second.body.orders).toEqual([]);
      }),
      { numRuns: 25, endOnFailure: true },
    );
  }, 180_000);
});
