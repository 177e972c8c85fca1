import type { BuildGrantShare } from '../../../shared/contract/build.ts';
import type { Tx } from '../../db/database.ts';
import { type FieldError, invalidContent, ruleBroken } from '../../domain/errors.ts';
import type { RevisionForBuilding } from '../designs/revisions-for-building.ts';
import { findMaterials, findOffers, materialCodesOf } from './bill-line-repository.ts';
import { type PricedTakeOff, priceTakeOff } from './price-take-off.ts';
import { findGrants } from './repository.ts';

/** What builds ask of designs: revisions with their take-off, held at their approval. */
export type RevisionsForBuilding = (
  tx: Tx,
  ids: readonly string[],
) => Promise<ReadonlyMap<string, RevisionForBuilding>>;

/** Decimals of a share, as the contract limits them. */
const SHARE_DECIMALS = 8;

/** Refuses shares that do not add up to exactly 1, or that name a grant of another programme. */
export async function requireShares(
  tx: Tx,
  programmeId: string,
  shares: readonly BuildGrantShare[],
): Promise<void> {
  const at = (index: number, code: string, message: string): FieldError => ({
    pointer: `/grantShares/${index}/grantId`,
    code,
    message,
    rejectedValue: shares[index]?.grantId,
  });
  const ids = shares.map(({ grantId }) => grantId);
  const grants = new Map((await findGrants(tx, ids)).map((grant) => [grant.id, grant]));
  const unknown = ids.flatMap((id, index) => {
    if (!grants.has(id)) {
      return [at(index, 'reference.unknown', 'names a record that does not exist')];
    }
    return ids.indexOf(id) < index ? [at(index, 'grant.repeated', 'is named twice')] : [];
  });
  if (unknown.length > 0) throw invalidContent(unknown);
  const foreign = ids.flatMap((id, index) =>
    grants.get(id)?.programmeId === programmeId
      ? []
      : [at(index, 'grant.foreign', 'is a grant of another programme')],
  );
  if (foreign.length > 0) {
    throw ruleBroken(
      'grant-of-other-programme',
      'A build is paid by grants of its own programme only.',
      foreign,
    );
  }
  const sum = shares.reduce((running, { shareRatio }) => running + unitsOf(shareRatio), 0n);
  const whole = unitsOf('1');
  if (sum === whole) return;
  const text = (Number(sum) / Number(whole)).toFixed(SHARE_DECIMALS).replace(/\.?0+$/, '');
  throw ruleBroken('grant-shares-add-up', `The shares add up to ${text} and not to exactly 1.`, [
    {
      pointer: '/grantShares',
      code: 'shares.not-one',
      message: 'must add up to exactly 1',
      rejectedValue: text,
    },
  ]);
}

function unitsOf(decimal: string): bigint {
  const [whole = '0', fraction = ''] = decimal.split('.');
  return BigInt(whole + fraction.padEnd(SHARE_DECIMALS, '0'));
}

/** Refuses revisions that do not exist or that no engineer has approved. */
export function requireApproved(
  revisionIds: readonly string[],
  revisions: ReadonlyMap<string, RevisionForBuilding>,
  pointer: string,
): void {
  const faults = revisionIds.flatMap((id): FieldError[] => {
    const revision = revisions.get(id);
    if (revision?.approval === 'approved') return [];
    const code = revision ? 'design.not-approved' : 'reference.unknown';
    const message = revision
      ? `${revision.designCode} is ${revision.approval}`
      : 'names a record that does not exist';
    return [{ pointer, code, message, rejectedValue: id }];
  });
  if (faults.some(({ code }) => code === 'reference.unknown')) throw invalidContent(faults);
  if (faults.length === 0) return;
  throw ruleBroken(
    'design-not-approved',
    'A tank is built only on a design revision that a registered engineer has approved.',
    faults,
  );
}

/** Prices every revision at a day, or refuses naming every material that cannot be priced. */
export async function priceRevisions(
  tx: Tx,
  revisions: readonly RevisionForBuilding[],
  pricedOn: string,
  currency: string,
): Promise<ReadonlyMap<string, PricedTakeOff>> {
  const codes = materialCodesOf(revisions.map(({ takeOff }) => takeOff));
  const prices = {
    pricedOn,
    currency,
    materialByCode: await findMaterials(tx, codes),
    offersByCode: await findOffers(tx, codes, pricedOn),
  };
  const priced = new Map(
    revisions.map(({ id, takeOff }) => [id, priceTakeOff(takeOff, prices)] as const),
  );
  const faults = [...priced.values()].flatMap((one) => one.faults);
  const [first] = faults;
  if (!first) return priced;
  const byMaterial = new Map(faults.map((fault) => [fault.materialCode, fault]));
  throw ruleBroken(
    first.rule,
    `Not everything can be priced: ${[...byMaterial.values()].map(({ message }) => message).join('; ')}.`,
    [...byMaterial.values()].map(({ rule, materialCode, message }) => ({
      pointer: '/pricedOn',
      code: rule,
      message,
      rejectedValue: materialCode,
    })),
  );
}
