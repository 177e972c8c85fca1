import { budgetLine } from '../../shared/contract/budget-line.ts';
import type { Build } from '../../shared/contract/build.ts';
import { type CostEntry, costEntry, costSplit } from '../../shared/contract/cost-entry.ts';
import type { Order } from '../../shared/contract/order.ts';
import type { ChainSeason } from './chain-season.ts';

/** Costs of each tank that is under way, in EUR; odd cents, so that no share of a third is even. */
const COSTS_OF_BUILD = [
  { state: 'paid', funding: 'cash', budgetLineCode: 'TRN', amount: '100.01' },
  { state: 'accrued', funding: 'cash', budgetLineCode: 'LAB', amount: '160.07' },
  { state: 'committed', funding: 'cash', budgetLineCode: 'LAB', amount: '55.55' },
  { state: 'paid', funding: 'in-kind', amount: '45.10' },
] as const;

const DAYS = ['2027-02-15', '2027-03-20', '2027-06-01'] as const;

const euros = (amount: string) => ({ amount, currency: 'EUR' });

/** The ledger of the season: placed orders keep their own costs; hired lorries by hand, work split over grants, direct costs, one mistake taken back. */
export async function keepLedger(
  season: ChainSeason,
  orders: readonly Order[],
  builds: readonly Build[],
) {
  const { coordinator, programmeId, grants } = season;
  const grant = (code: string) => grants.find((one) => one.code === code)?.id ?? '';
  const linesOf = async (grantId: string) =>
    coordinator.list(budgetLine, `/budget-lines?grantId=${grantId}`);
  const ask = (fields: object) =>
    coordinator.send('/cost-entries', {
      programmeId,
      state: 'paid',
      funding: 'cash',
      occurredOn: '2027-04-02',
      description: 'Invented cost',
      ...fields,
    });
  const post = async (fields: object) => costEntry.parse((await ask(fields).expect(201)).body);
  const advance = (id: string, state: string, occurredOn: string) =>
    coordinator.post(costEntry, `/cost-entries/${id}/advances`, {
      state,
      occurredOn,
      evidence: 'Invoice 1',
    });

  const committed: CostEntry[] = [];
  for (const [index, order] of orders.slice(0, 3).entries()) {
    const grantId = grants[index]?.id ?? '';
    const material = (await linesOf(grantId)).find(({ code }) => code === 'MAT');
    committed.push(
      await post({
        grantId,
        budgetLineId: material?.id,
        state: 'committed',
        occurredOn: '2027-01-13',
        description: `Lorries for ${order.code}`,
        amount: order.amount,
      }),
    );
  }
  const accrued = await advance(committed[0]?.id ?? '', 'accrued', '2027-01-25');
  const paid = await advance(accrued.id, 'paid', '2027-02-10');
  await advance(committed[2]?.id ?? '', 'accrued', '2027-03-25');

  const splits: { amount: string; build: Build; parts: CostEntry[] }[] = [];
  for (const [index, build] of builds.entries()) {
    for (const { amount, ...cost } of COSTS_OF_BUILD) {
      const { items } = await coordinator.post(costSplit, '/cost-splits', {
        ...cost,
        programmeId,
        buildId: build.id,
        occurredOn: DAYS[index % DAYS.length],
        description: `Work at ${build.code}`,
        evidence: `sheet of ${build.code}`,
        amount: euros(amount),
      });
      splits.push({ amount, build, parts: items });
    }
  }
  const converted = await post({
    grantId: grant('G-3'),
    occurredOn: '2027-06-01',
    amount: euros('333.33'),
  });
  await post({ grantId: grant('G-3'), amount: { amount: '12.34', currency: 'USD' } });
  const mistake = await post({ grantId: grant('G-1'), amount: euros('999.99') });
  const reversal = await coordinator.post(costEntry, `/cost-entries/${mistake.id}/reversals`, {
    occurredOn: '2027-04-03',
    reason: 'Charged to the wrong programme.',
  });
  const ofOrder = await coordinator.list(costEntry, `/cost-entries?orderId=${orders[0]?.id}`);
  const answers = {
    committedByHand: await ask({
      orderId: orders[2]?.id,
      state: 'committed',
      amount: euros('10.00'),
    }),
    movedByHand: await coordinator.send(`/cost-entries/${ofOrder[0]?.id}/reversals`, {
      occurredOn: '2027-04-03',
      reason: 'By hand.',
    }),
    withoutEvidence: await ask({
      grantId: grant('G-1'),
      funding: 'in-kind',
      amount: euros('10.00'),
    }),
    outsideGrant: await ask({
      grantId: grant('G-1'),
      occurredOn: '2026-12-31',
      amount: euros('10.00'),
    }),
    reversedTwice: await coordinator.send(`/cost-entries/${mistake.id}/reversals`, {
      occurredOn: '2027-04-04',
      reason: 'Again.',
    }),
  };
  return {
    committed,
    paid,
    splits,
    converted,
    mistake,
    reversal,
    answers,
    entries: await coordinator.list(costEntry, `/cost-entries?programmeId=${programmeId}`),
  };
}

export type ChainLedger = Awaited<ReturnType<typeof keepLedger>>;
