import { createHash } from 'node:crypto';
import { expect } from 'vitest';
import type { CostEntry } from '../../shared/contract/cost-entry.ts';
import type { Chain } from './chain-run.ts';
import { RATES } from './chain-season.ts';
import { roundedProduct, signedMicro, sumOf } from './exact.ts';
import { expectProblem } from './service.ts';

const centsOf = (amount: string) => signedMicro(amount) / 10_000n;

const rateOn = (day: string) =>
  Object.entries(RATES)
    .filter(([rateOn]) => rateOn <= day)
    .at(-1)?.[1] ?? '';

/** What an order committed, owes and paid, in cents, from the entries that follow it. */
function centsOfOrder(entries: readonly CostEntry[], orderId: string | undefined, state: string) {
  const own = entries.filter(
    (entry) => entry.followsOrder && entry.orderId === orderId && entry.state === state,
  );
  return sumOf(own, ({ amount }) => centsOf(amount.amount));
}

export function expectLedgerKept({ ledger, season, supply, stock }: Chain) {
  const { committed, paid, splits, converted, mistake, reversal, answers, entries } = ledger;
  expect(committed.map(({ amount }) => amount)).toEqual(
    supply.orders.slice(0, 3).map(({ amount }) => amount),
  );
  expect(paid).toMatchObject({ state: 'paid', amount: committed[0]?.amount });
  const { whole, partial } = stock.after;
  const ofWhole = (state: string) => centsOfOrder(entries, whole.id, state);
  expect([ofWhole('committed'), ofWhole('accrued')]).toEqual([0n, centsOf(whole.amount.amount)]);
  // one pack of one line was received, which is worth its price
  const owed = centsOfOrder(entries, partial.id, 'accrued');
  expect(owed).toBe(centsOf(partial.lines[0]?.pricePerPack ?? ''));
  expect(centsOfOrder(entries, partial.id, 'committed')).toBe(
    centsOf(partial.amount.amount) - owed,
  );
  expect(centsOfOrder(entries, supply.orders[2]?.id, 'committed')).toBe(0n);
  for (const { amount, build, parts } of splits) {
    expect(parts).toHaveLength(build.grantShares.length);
    expect(sumOf(parts, (part) => centsOf(part.amount.amount))).toBe(centsOf(amount));
    for (const { grantId, amount: part } of parts) {
      const share = build.grantShares.find((one) => one.grantId === grantId)?.shareRatio;
      const exactCents = Number(amount) * Number(share) * 100;
      expect(Math.abs(Number(centsOf(part.amount)) - exactCents)).toBeLessThan(1);
    }
  }
  const dollars = season.grants.find(({ currency }) => currency === 'USD');
  const foreign = entries.filter(
    ({ grantId, amount }) => grantId === dollars?.id && amount.currency === 'EUR',
  );
  expect(foreign.length).toBeGreaterThan(5);
  for (const { occurredOn, amount, grantAmount, exchange, description } of foreign) {
    // what goes from committed to owed keeps the rate of the day it was committed
    const isMoved = /Order|Lorries|moves from/.test(description);
    const rate = rateOn(isMoved ? '2027-01-13' : occurredOn);
    expect(exchange?.rate).toBe(rate);
    expect(grantAmount?.currency).toBe('USD');
    const isBack = amount.amount.startsWith('-');
    const expected = roundedProduct(amount.amount.replace('-', ''), rate, 2);
    expect(centsOf(grantAmount?.amount ?? '')).toBe(isBack ? -expected : expected);
  }
  // 333.33 EUR at 1.0907 is 363.563031 USD
  expect(converted.grantAmount).toEqual({ amount: '363.56', currency: 'USD' });
  expect(reversal).toMatchObject({ reversesId: mistake.id, amount: { amount: '-999.99' } });
  const ruleOf = (answer: (typeof answers)['outsideGrant']) =>
    expectProblem(answer, 422, 'rule-broken').rule;
  expect(ruleOf(answers.committedByHand)).toBe('order-commits-itself');
  expect(ruleOf(answers.movedByHand)).toBe('order-keeps-its-costs');
  expect(ruleOf(answers.withoutEvidence)).toBe('in-kind-needs-evidence');
  expect(ruleOf(answers.outsideGrant)).toBe('outside-grant-period');
  expect(ruleOf(answers.reversedTwice)).toBe('reversed-already');
}

export function expectFiguresRecounted({ reports, recounts, season, first }: Chain) {
  expect(reports.readers).toHaveLength(3);
  for (const [index, { seen, grant }] of reports.readers.entries()) {
    const { content, records } = seen;
    const counted = recounts[index];
    const shown = content.content.figures.map(({ code, value }) => [code, value]);
    expect(Object.fromEntries(shown), grant.code).toEqual(counted?.figures);
    for (const { code, value, basis } of content.content.figures) {
      const behind = records[code] ?? [];
      const ids = behind.map(({ recordId }) => recordId);
      expect(ids.toSorted(), `${grant.code} ${code}`).toEqual(counted?.records[code]);
      if (basis !== 'recorded') continue;
      const sum = sumOf(behind, ({ contribution }) => atoms(contribution));
      expect(sum, `${grant.code} ${code}`).toBe(atoms(value ?? ''));
    }
    const budget = content.content.budget
      .filter(({ budgetLineCode }) => budgetLineCode !== null)
      .map(({ budgetLineCode: code, ...row }) => ({
        code,
        budget: row.budget.amount,
        committed: row.committed.amount,
        accrued: row.accrued.amount,
        paid: row.paid.amount,
      }));
    expect(budget).toEqual(counted?.budget);
    expect(content.contentSha256).toBe(
      createHash('sha256').update(JSON.stringify(content.content)).digest('hex'),
    );
  }
  // the tank that three grants share counts in each report, and once over their own shares
  const shares = reports.readers.map(
    ({ seen }) =>
      seen.records['tanks-own-share']?.find(({ recordId }) => recordId === first.id)?.contribution,
  );
  expect(shares).toEqual(['0.33333333', '0.33333333', '0.33333334']);
  expect(season.grants.map(({ currency }) => currency)).toEqual(['EUR', 'EUR', 'USD']);
}

/** In units of 10^-8, the finest contribution. */
function atoms(text: string): bigint {
  const [whole = '0', fraction = ''] = text.replace('-', '').split('.');
  const units = BigInt(whole + fraction.padEnd(8, '0'));
  return text.startsWith('-') ? -units : units;
}

export function expectMoneyOfEntries({ reports, ledger, season }: Chain) {
  const inGrant = (grantId: string, wanted: (entry: CostEntry) => boolean) =>
    sumOf(
      ledger.entries.filter((entry) => entry.grantId === grantId && wanted(entry)),
      ({ grantAmount }) => centsOf(grantAmount?.amount ?? ''),
    );
  const isCash = ({ funding }: CostEntry) => funding === 'cash';
  const wanted: Readonly<Record<string, (entry: CostEntry) => boolean>> = {
    'committed-to-date': (entry) => isCash(entry) && entry.state === 'committed',
    'accrued-to-date': (entry) => isCash(entry) && entry.state === 'accrued',
    'paid-to-date': (entry) => isCash(entry) && entry.state === 'paid',
    'spent-to-date': (entry) => isCash(entry) && entry.state !== 'committed',
    'in-kind-to-date': (entry) => !isCash(entry),
  };
  for (const { grant, seen } of reports.readers) {
    for (const [code, isWanted] of Object.entries(wanted)) {
      const figure = seen.content.content.figures.find((one) => one.code === code);
      expect(figure?.unit).toBe(grant.currency);
      expect(centsOf(figure?.value ?? ''), `${grant.code} ${code}`).toBe(
        inGrant(grant.id, isWanted),
      );
    }
  }
  // every state and both fundings carry money somewhere, so that no sum is right by being empty
  for (const isWanted of Object.values(wanted)) {
    const total = sumOf(season.grants, ({ id }) => inGrant(id, isWanted));
    expect(total).toBeGreaterThan(0n);
  }
}

export function expectDonorSeesReportOnly({ reports }: Chain) {
  for (const { grant, seen, listed, foreign, closed } of reports.readers) {
    expect(listed.map(({ id }) => id)).toEqual([seen.content.id]);
    expect(seen.content).toEqual(reports.frozen.find(({ grantId }) => grantId === grant.id));
    for (const answer of foreign) expectProblem(answer, 404, 'not-found');
    expect(closed.length).toBeGreaterThan(10);
    for (const answer of closed) expectProblem(answer, 403, 'forbidden');
    const everything = JSON.stringify(seen);
    expect(everything).not.toMatch(/Person of|\+000 500|contactName|"phone|"lat|"lon/);
  }
}

export function expectFrozen({ later, reports }: Chain) {
  for (const { before, after } of later.again) expect(after).toEqual(before);
  const figureOf = (index: number, code: string) => ({
    before: reports.frozen[index]?.content.figures.find((figure) => figure.code === code)?.value,
    after: later.renewed[index]?.content.figures.find((figure) => figure.code === code)?.value,
  });
  // what came later does show in a new report, so the old ones had something to withstand
  for (const index of [0, 1, 2]) {
    for (const code of ['tanks-handed-over', 'people-served', 'paid-to-date', 'cost-per-litre']) {
      const { before, after } = figureOf(index, code);
      expect(after, `${index} ${code}`).not.toBe(before);
    }
  }
}
