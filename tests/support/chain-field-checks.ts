import { expect } from 'vitest';
import { percentByCost } from './chain-field.ts';
import type { Chain } from './chain-run.ts';
import { signedMicro } from './exact.ts';
import { expectProblem } from './service.ts';

export function expectStockKept({ stock }: Chain) {
  const { entries, answers, after, balances } = stock;
  expect(after.whole.status).toBe('received');
  for (const line of after.whole.lines) expect(line.receivedQuantity).toBe(line.orderedQuantity);
  expect(after.partial.status).toBe('partly-received');
  const ruleOf = (answer: (typeof answers)['belowZero']) =>
    expectProblem(answer, 422, 'rule-broken').rule;
  expect(ruleOf(answers.unapproved)).toBe('order-not-approved');
  expect(ruleOf(answers.ownDecision)).toBe('decided-by-another');
  expect(ruleOf(answers.aboveOrder)).toBe('received-within-ordered');
  expect(ruleOf(answers.beforePlacing)).toBe('order-not-placed');
  expect(ruleOf(answers.belowZero)).toBe('stock-below-zero');
  expect(ruleOf(answers.moreThanIssued)).toBe('return-within-issued');
  expect(entries.map(({ kind }) => kind)).toEqual(
    expect.arrayContaining(['receive', 'issue', 'return']),
  );
  const moved = new Map<string, bigint>();
  for (const { materialId, quantity } of entries) {
    moved.set(materialId, (moved.get(materialId) ?? 0n) + signedMicro(quantity));
  }
  const held = balances.map(
    ({ materialId, quantity }) => [materialId, signedMicro(quantity)] as const,
  );
  expect(new Map(held)).toEqual(moved);
}

export function expectStagesInOrder({ trouble, bills, first }: Chain) {
  const { answers, failing, half, done, build, handedOverOn } = trouble;
  const broken = (answer: (typeof answers)['skipped']) => expectProblem(answer, 422, 'rule-broken');
  expect(broken(answers.skipped)).toMatchObject({
    rule: 'stage-out-of-order',
    stageCode: 'ground-and-slab',
  });
  // bamboo is split on the day of the attempt, and its wait of a day is not over
  expect(broken(answers.tooSoon)).toMatchObject({
    rule: 'wait-not-over',
    stageCode: 'bamboo-preparation',
    earliestOn: '2027-02-08',
  });
  expect(broken(answers.byWrongRole)).toMatchObject({
    rule: 'released-by-wrong-role',
    requiredRole: 'inspector',
  });
  expect(broken(answers.releaseOfFailed)).toMatchObject({
    rule: 'check-failed',
    checkCode: 'band-out-of-level',
  });
  expect(broken(answers.startAfterFailed)).toMatchObject({
    rule: 'hold-open',
    stageCode: 'frame',
  });
  expect(broken(answers.early).rule).toBe('build-not-complete');
  const frame = (at: typeof failing) => at.stages.find(({ stageCode }) => stageCode === 'frame');
  expect(failing.status).toBe('on-hold');
  expect(frame(failing)?.status).toBe('nonconforming');
  expect(failing.openHolds).toEqual(['frame']);
  expect(frame(half)?.status).toBe('accepted');
  expect(half).toMatchObject({ status: 'started', openHolds: [], nonConformities: [] });

  const bill = bills.builds.find(({ buildId }) => buildId === first.id);
  if (!bill) throw new Error('The build has no bill');
  const before = new Set(['ground-and-slab', 'bamboo-preparation']);
  // weights keep six decimals, so a sum of three is off by at most 1.5e-6, which is 1.5e-4 percent
  expect(failing.percentComplete).toBeCloseTo(percentByCost(bill, before), 3);
  expect(half.percentComplete).toBeCloseTo(percentByCost(bill, before.add('frame')), 3);
  expect(half.percentComplete).toBeGreaterThan(failing.percentComplete);
  expect(done).toMatchObject({ status: 'handed-over', percentComplete: 100, isComplete: true });
  expect(done.stages.every(({ status }) => status === 'accepted')).toBe(true);
  expect(build).toMatchObject({ status: 'handed-over', percentComplete: 100, handedOverOn });
}

export function expectActionsDue({ visited: seen }: Chain) {
  const { visited, withoutAction, openBefore, urgent, closed, openAfter } = seen;
  expect(visited.sanitaryRisks).toEqual({ riskCount: 1, unansweredCount: 8 });
  expect(visited.findings.map(({ severity }) => severity).sort()).toEqual(['danger', 'minor']);
  expect(visited.cautions.join()).toContain('call a licensed engineer');
  const { errors } = expectProblem(withoutAction, 422, 'invalid-content');
  expect(errors?.map(({ pointer }) => pointer)).toEqual(['/findings/0/actions']);
  expect(openBefore.map(({ dueOn }) => dueOn)).toEqual(['2027-05-13', '2027-06-15']);
  expect(urgent.map(({ dueOn }) => dueOn)).toEqual(['2027-05-13']);
  expect(closed).toMatchObject({ id: urgent[0]?.id, closedOn: '2027-05-14' });
  expect(openAfter.map(({ dueOn }) => dueOn)).toEqual(['2027-06-15']);
}
