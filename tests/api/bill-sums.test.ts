import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bill, type BuildBill, bill, buildBill } from '../../shared/contract/bill.ts';
import { micro, roundedProduct, sumOf } from '../support/exact.ts';
import {
  makeCatalogue,
  makeGrants,
  makeOffers,
  makeRevision,
  makeSeason,
  makeSites,
  tankInput,
} from '../support/season.ts';
import { startTestService, type TestService } from '../support/service.ts';

let service: TestService;

beforeAll(async () => {
  service = await startTestService();
});
afterAll(() => service.close());

const SHARE_UNITS = 100_000_000;

/** Up to four shares in units of 10^-8 that add up to 1, cut at random places. */
const shares = fc
  .uniqueArray(fc.integer({ min: 1, max: SHARE_UNITS - 1 }), { maxLength: 3 })
  .map((cuts) => {
    const ends = [0, ...cuts.toSorted((a, b) => a - b), SHARE_UNITS];
    return ends.slice(1).map((end, index) => ratioText(end - (ends[index] ?? 0)));
  });

const ratioText = (units: number) =>
  units === SHARE_UNITS ? '1' : `0.${String(units).padStart(8, '0')}`;

const programme = fc.record({
  currency: fc.constantFrom('EUR', 'UGX', 'TND'),
  prices: fc.array(
    fc.record({
      packContent: fc.constantFrom('1', '50', '0.75', '2.5', '7'),
      price: fc.integer({ min: 1, max: 99_999 }),
    }),
    { minLength: 33, maxLength: 33 },
  ),
  builds: fc.array(
    fc.record({
      village: fc.integer({ min: 0, max: 1 }),
      revision: fc.integer({ min: 0, max: 1 }),
      shares,
      firstGrant: fc.integer({ min: 0, max: 3 }),
      isCancelled: fc.boolean(),
    }),
    { minLength: 1, maxLength: 6 },
  ),
});

const DECIMALS: Readonly<Record<string, number>> = { EUR: 2, UGX: 0, TND: 3 };

/** Price in the smallest unit of its currency as decimal text. */
function priceText(units: number, currency: string): string {
  const decimals = DECIMALS[currency] ?? 2;
  if (decimals === 0) return String(units);
  const digits = String(units).padStart(decimals + 1, '0');
  return `${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
}

type Line = Pick<
  Bill['lines'][number],
  'part' | 'stageCode' | 'materialId' | 'amount' | 'isInKind' | 'netQuantity' | 'withWasteQuantity'
>;

const MEASURES = {
  amount: (line: Line) => (line.isInKind ? 0n : micro(line.amount.amount)),
  inKindAmount: (line: Line) => (line.isInKind ? micro(line.amount.amount) : 0n),
  net: (line: Line) => micro(line.netQuantity),
  withWaste: (line: Line) => micro(line.withWasteQuantity),
};

const KEYS = {
  part: (line: Line) => line.part,
  stage: (line: Line) => line.stageCode,
  material: (line: Line) => line.materialId,
  finest: (line: Line) => `${line.part} ${line.stageCode} ${line.materialId} ${line.isInKind}`,
};

/** Every measure summed by every key: equal tables mean equal bills to the last cent and unit. */
function table(lines: readonly Line[]): Record<string, string> {
  const sums: Record<string, bigint> = {};
  for (const line of lines) {
    for (const [keyName, keyOf] of Object.entries(KEYS)) {
      for (const [measure, of] of Object.entries(MEASURES)) {
        const key = `${keyName} ${keyOf(line)} ${measure}`;
        sums[key] = (sums[key] ?? 0n) + of(line);
      }
    }
  }
  return Object.fromEntries(Object.entries(sums).map(([key, sum]) => [key, String(sum)]));
}

describe('sums of bills', () => {
  it('are equal over builds, villages, grants and the programme, to the last cent and unit', async () => {
    await fc.assert(
      fc.asyncProperty(programme, async ({ currency, prices, builds }) => {
        const season = await makeSeason(service, currency);
        const materials = await makeCatalogue(service, season);
        await makeOffers(
          service,
          season,
          [...materials.values()].map((materialId, index) => ({
            materialId,
            currency,
            packContent: prices[index]?.packContent ?? '1',
            pricePerPack: priceText(prices[index]?.price ?? 1, currency),
          })),
        );
        const revisions = [
          await makeRevision(service, season),
          await makeRevision(service, season, tankInput(1.5, 1.7, 6)),
        ];
        const grants = await makeGrants(service, season, 4);
        const sites = await makeSites(
          service,
          season,
          builds.map(({ village }) => ({ villageId: season.villageIds[village] ?? '' })),
        );
        const send = (url: string, body: object) =>
          service.http.post(url).set(season.coordinator.auth).send(body);
        const read = async (url: string) =>
          (await service.http.get(url).set(season.coordinator.auth).expect(200)).body as unknown;
        const live: BuildBill[] = [];
        for (const [index, one] of builds.entries()) {
          const made = await send('/v1/builds', {
            siteId: sites[index],
            designRevisionId: revisions[one.revision],
            pricedOn: '2026-10-01',
            grantShares: one.shares.map((shareRatio, place) => ({
              grantId: grants[(one.firstGrant + place) % grants.length],
              shareRatio,
            })),
          }).expect(201);
          if (one.isCancelled) {
            await send(`/v1/builds/${made.body.id}/cancellations`, { reason: 'Test' }).expect(200);
          } else live.push(buildBill.parse(await read(`/v1/builds/${made.body.id}/bill`)));
        }
        for (const line of live.flatMap(({ lines }) => lines)) {
          const decimals = DECIMALS[currency] ?? 2;
          const units = roundedProduct(line.withWasteQuantity, line.unitRate, decimals);
          expect(micro(line.amount.amount)).toBe(units * 10n ** BigInt(6 - decimals));
        }
        const fromBuilds = table(live.flatMap(({ lines }) => lines));
        const scopes = {
          programme: [`programmeId=${season.programmeId}`],
          villages: season.villageIds.map(
            (id) => `programmeId=${season.programmeId}&villageId=${id}`,
          ),
          grants: grants.map((id) => `grantId=${id}`),
        };
        for (const queries of Object.values(scopes)) {
          const bills: Bill[] = [];
          for (const query of queries) bills.push(bill.parse(await read(`/v1/bills?${query}`)));
          expect(withoutZeros(table(bills.flatMap(({ lines }) => lines)))).toEqual(
            withoutZeros(fromBuilds),
          );
          for (const key of ['amount', 'inKindAmount'] as const) {
            const total = sumOf(bills, (one) => micro(one[key].amount));
            expect(total).toBe(sumOf(live, (one) => micro(one[key].amount)));
            for (const group of ['byPart', 'byStage', 'byMaterial'] as const) {
              const rows = bills.flatMap((one) => [...one[group]]);
              expect(sumOf(rows, (row) => micro(row[key].amount))).toBe(total);
            }
          }
        }
      }),
      { numRuns: 6 },
    );
  }, 180_000);
});

/** A grant may carry nothing of a line; a sum of zero and no sum at all say the same. */
const withoutZeros = (sums: Record<string, string>) =>
  Object.fromEntries(Object.entries(sums).filter(([, sum]) => sum !== '0'));
