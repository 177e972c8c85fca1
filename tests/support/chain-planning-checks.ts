import { expect } from 'vitest';
import { byMaterial, byMaterialTotals, SHARES_BY_TURN } from './chain-builds.ts';
import type { Chain } from './chain-run.ts';
import { VILLAGES } from './chain-season.ts';
import { MISTAKES, siteLines } from './chain-sites.ts';
import { linesOf, packsOf, rowsOfCsv, rowsOfXlsx } from './chain-supply.ts';
import { expectedChoice } from './chain-water.ts';
import { micro, roundedProduct, sumOf } from './exact.ts';
import { expectProblem } from './service.ts';

export function expectListPutRight(chain: Chain) {
  const { dryRun, refusal, checked, wrongFile, applied, counts, sites } = chain.imported;
  expect(siteLines).toHaveLength(501);
  const hints = [
    'write a plain number such as 42.5, without a unit',
    'there is no such village; did you mean MALUVI?',
    'stands on line 12 already',
  ];
  const named = MISTAKES.map(({ line, column, wrong: value }, index) => {
    return { line, column, value, hint: hints[index] };
  });
  expect(dryRun.errors.map(({ code: _, ...error }) => error)).toEqual(named);
  expect(dryRun).toMatchObject({ state: 'rejected', rowCount: 500, createdCount: 497 });
  const { errors } = expectProblem(refusal, 422, 'invalid-content');
  expect(errors).toMatchObject(named);
  expectProblem(wrongFile, 409, 'conflict');
  const nothing = { sites: 0, contacts: 0 };
  expect([counts.before, counts.afterRefusal, counts.afterCheck]).toEqual(Array(3).fill(nothing));
  expect(checked).toMatchObject({ state: 'checked', errorCount: 0, createdCount: 500 });
  expect(applied).toMatchObject({ state: 'applied', createdCount: 500 });
  const withConsent = siteLines.filter((line) => /,(yes|2026-12-0\d)$/.test(line)).length;
  expect(counts.afterApplying).toEqual({ sites: 500, contacts: withConsent });
  expect(new Set(sites.map(({ code }) => code)).size).toBe(500);
}

export function expectEverySiteSized(chain: Chain) {
  const { attempts, finished, sizings, summary } = chain.sized;
  expect(attempts).toBe(1);
  expect(finished).toMatchObject({ state: 'succeeded', progress: { done: 500, total: 500 } });
  const bySite = new Map(sizings.map((sizing) => [sizing.siteId, sizing]));
  for (const site of chain.imported.sites) {
    const { candidates, designRevisionId, refusal } = bySite.get(site.id) ?? { candidates: [] };
    const rain = chain.season.rain.get(site.villageId) ?? [];
    const found = { designRevisionId, refusal };
    expect(found, site.code).toEqual(expectedChoice(site, rain, candidates));
  }
  const reasons = summary.byRefusal.map(({ refusal }) => refusal);
  expect(reasons).toEqual(expect.arrayContaining(['roof-too-small', 'target-not-reachable']));
  expect(reasons).toEqual(expect.arrayContaining(['ground-unknown', 'ground-not-suitable']));
  expect(summary.byDesign.map(({ designCode }) => designCode)).toHaveLength(3);
  expect(summary.chosenCount + summary.refusedCount).toBe(500);
}

export function expectOnlyApprovedBuilt(chain: Chain) {
  const { standard, approvals, answers } = chain.designs;
  expect(expectProblem(answers.ownApproval, 422, 'rule-broken').rule).toBe('approver-is-author');
  expectProblem(answers.coordinatorApproval, 403, 'forbidden');
  expect(expectProblem(answers.earlyChoice, 422, 'rule-broken').rule).toBe('design-not-approved');
  expect(answers.lateChoice.status).toBe(200);
  const { author, engineer } = chain.season;
  expect(standard.map(({ createdById }) => createdById)).toEqual(
    Array(3).fill(author.person.personId),
  );
  expect(approvals.map(({ engineerId }) => engineerId)).toEqual(
    Array(3).fill(engineer.person.personId),
  );
  const { onUndecided, onRefused, withoutDesign, sharesBelowOne } = chain.built.answers;
  for (const answer of [onUndecided, onRefused]) {
    expect(expectProblem(answer, 422, 'rule-broken').rule).toBe('design-not-approved');
  }
  expect(expectProblem(withoutDesign, 422, 'rule-broken').rule).toBe('site-has-no-design');
  expect(expectProblem(sharesBelowOne, 422, 'rule-broken').rule).toBe('grant-shares-add-up');
  expect(chain.built.countAfterRefusals).toBe(0);
}

export function expectBillsAddUp(chain: Chain) {
  const { builds, made } = chain.built;
  const { bills, season } = chain;
  expect(builds).toHaveLength(chain.sized.summary.chosenCount);
  for (const { siteCode, grantShares } of builds) {
    const turn = VILLAGES.findIndex((village) => siteCode.startsWith(village));
    const shares = grantShares.map(({ grantId, shareRatio }) => [
      season.grants.find(({ id }) => id === grantId)?.code,
      shareRatio,
    ]);
    expect(Object.fromEntries(shares)).toEqual(SHARES_BY_TURN[turn % SHARES_BY_TURN.length]);
  }
  const programme = byMaterial(bills.programme.lines);
  expect(Object.keys(programme).length).toBeGreaterThan(25);
  for (const parts of [bills.builds, bills.villages, bills.grants]) {
    expect(byMaterial(parts.flatMap(({ lines }) => [...lines]))).toEqual(programme);
  }
  for (const parts of [[bills.programme], bills.villages, bills.grants]) {
    const rows = parts.flatMap((part) => part.byMaterial);
    expect(byMaterialTotals(rows)).toEqual(programme);
  }
  for (const key of ['amount', 'inKindAmount'] as const) {
    const total = micro(bills.programme[key].amount);
    expect(total).toBeGreaterThan(0n);
    for (const parts of [bills.builds, bills.villages, bills.grants, made]) {
      expect(
        sumOf<{ [K in typeof key]: { amount: string } }>(parts, (part) => micro(part[key].amount)),
      ).toBe(total);
    }
  }
}

export async function expectEachNeedOrderedOnce(chain: Chain): Promise<void> {
  const { plan, second, orders, csv, xlsx } = chain.supply;
  const { needs, perTank } = packsOf(chain.built.builds, chain.bills.builds, orders);
  const ordered = new Map<string, bigint>();
  for (const { deliveryVillageId, lines } of orders) {
    for (const line of lines) {
      const key = `${deliveryVillageId} ${line.materialId}`;
      expect(ordered.has(key), key).toBe(false);
      ordered.set(key, micro(line.needQuantity));
      const goods = micro(line.orderedQuantity);
      expect(goods).toBe(micro(line.needQuantity) + micro(line.roundingQuantity));
      expect(goods).toBe(BigInt(line.packCount) * micro(line.packContent));
      expect(micro(line.roundingQuantity)).toBeLessThan(micro(line.packContent));
      const price = roundedProduct(String(line.packCount), line.pricePerPack, 2);
      expect(micro(line.amount.amount)).toBe(price * 10_000n);
    }
  }
  expect(plan.unserved).toEqual([]);
  expect(ordered).toEqual(needs);
  const lines = orders.flatMap((order) => order.lines);
  const total = sumOf(lines, ({ amount }) => micro(amount.amount));
  expect(micro(plan.comparison.totalAmount.amount)).toBe(total);
  expect(micro(plan.comparison.roundedPerTankAmount.amount)).toBe(perTank);
  expect(micro(plan.comparison.saving.amount)).toBe(perTank - total);
  expect(perTank).toBeGreaterThan(total);
  expect(expectProblem(second, 422, 'rule-broken').rule).toBe('nothing-to-order');
  const rows = linesOf(orders);
  const like = rows[0] ?? {};
  expect(rowsOfCsv(csv, like)).toEqual(rows);
  expect(await rowsOfXlsx(xlsx, like)).toEqual(rows);
}
