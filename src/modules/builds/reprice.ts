import type { Repricing } from '../../../shared/contract/build.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
import { billAmounts, lockNotStarted, repriceLines, setPricedOn } from './bill-line-repository.ts';
import { findProgramme } from './repository.ts';
import { priceRevisions, type RevisionsForBuilding } from './requirements.ts';

export type Reprice = (
  tx: Tx,
  programmeId: string,
  input: { readonly pricedOn: string },
) => Promise<Repricing>;

/** Prices the bills of all builds that have not started again, at another day; quantities stay. */
export async function reprice(
  tx: Tx,
  revisionsForBuilding: RevisionsForBuilding,
  programmeId: string,
  { pricedOn }: { readonly pricedOn: string },
): Promise<Repricing> {
  const programme = await findProgramme(tx, programmeId);
  if (!programme) throw notFound('programme', programmeId);
  const { currency } = programme;
  const builds = await lockNotStarted(tx, programmeId);
  const buildIds = builds.map(({ id }) => id);
  const before = await billAmounts(tx, buildIds, currency);
  const revisionIds = [...new Set(builds.map(({ designRevisionId }) => designRevisionId))];
  const revisions = await revisionsForBuilding(tx, revisionIds);
  const priced = await priceRevisions(tx, [...revisions.values()], pricedOn, currency);
  for (const [designRevisionId, { lines }] of priced) {
    const ids = builds
      .filter((build) => build.designRevisionId === designRevisionId)
      .map(({ id }) => id);
    await repriceLines(tx, ids, lines, currency);
  }
  await setPricedOn(tx, buildIds, pricedOn);
  const after = await billAmounts(tx, buildIds, currency);
  await tx.audit('reprice', 'programme', programmeId, { pricedOn, repricedCount: builds.length });
  return {
    programmeId,
    pricedOn,
    repricedCount: builds.length,
    amountBefore: before.amount,
    inKindAmountBefore: before.inKindAmount,
    ...after,
  };
}
