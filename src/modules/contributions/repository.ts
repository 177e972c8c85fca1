import type {
  Contribution,
  ContributionPatch,
  NewContribution,
} from '../../../shared/contract/contribution.ts';
import { lineAmount } from '../../../shared/costing/money.ts';
import { compareQuantities, subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { documentStore } from '../../db/document-store.ts';
import type { VillageContributionModel as ContributionRow } from '../../db/generated/models.ts';
import {
  civilDate,
  civilDateOrNull,
  documentFieldsOf,
  moneyOf,
  quantityText,
  withDates,
} from '../../db/wire-values.ts';

const MATERIAL_SQL = 'select code, unit_code from material where organisation_id = $1 and id = $2';

const STANDINGS_SQL = `
  select c.id, m.code as material_code,
    (select coalesce(sum(r.quantity), 0) from contribution_record r
      where r.organisation_id = $1 and r.contribution_id = c.id) as given,
    (select coalesce(sum(e.amount), 0) from contribution_record r
      join cost_entry e on e.organisation_id = r.organisation_id and e.id = r.cost_entry_id
      where r.organisation_id = $1 and r.contribution_id = c.id) as given_amount,
    exists (select from contribution_waiver w
      where w.organisation_id = $1 and w.contribution_id = c.id) as is_waived
  from village_contribution c
    join material m on m.organisation_id = c.organisation_id and m.id = c.material_id
  where c.organisation_id = $1 and c.id = any($2)`;

const LOCK_SQL = `
  select id from village_contribution where organisation_id = $1 and id = $2 for no key update`;

interface StandingRow {
  id: string;
  material_code: string;
  given: string;
  given_amount: string;
  is_waived: boolean;
}

/** A contribution without what only its records say. */
export type BareContribution = Omit<
  Contribution,
  | 'materialCode'
  | 'status'
  | 'isOverdue'
  | 'givenQuantity'
  | 'missingQuantity'
  | 'agreedValue'
  | 'givenValue'
>;

export type NewContributionColumns = NewContribution & { readonly unitCode: string };

export const bareContributions = documentStore<
  ContributionRow,
  BareContribution,
  NewContributionColumns,
  ContributionPatch
>({
  noun: 'contribution',
  sortKey: 'agreedOn',
  delegate: (prisma) => prisma.villageContribution,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    programmeId: row.programmeId,
    villageId: row.villageId,
    materialId: row.materialId,
    agreedQuantity: quantityText(row.agreedQuantity),
    unitCode: row.unitCode as Contribution['unitCode'],
    valuationRule: row.valuationRule,
    unitRate: quantityText(row.unitRate),
    currency: row.currency,
    agreedOn: civilDate(row.agreedOn),
    dueOn: civilDate(row.dueOn),
    gatesDispatch: row.gatesDispatch,
    evidence: row.evidence,
    endedOn: civilDateOrNull(row.endedOn),
  }),
  toColumns: (input) =>
    withDates(input as Partial<NewContributionColumns & ContributionPatch>, [
      'agreedOn',
      'dueOn',
      'endedOn',
    ]),
});

export async function findMaterial(tx: Tx, id: string) {
  const [row] = await tx.sql<{ code: string; unit_code: string }>(MATERIAL_SQL, [
    tx.organisationId,
    id,
  ]);
  return row ?? null;
}

/** Holds an agreement until the transaction ends, so that its records and its end do not cross. */
export async function lockContribution(tx: Tx, id: string): Promise<void> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
}

/** Adds to agreements what their records and waivers say on a day. */
export async function withStandings(
  tx: Tx,
  items: readonly BareContribution[],
  today: string,
): Promise<Contribution[]> {
  const rows = await tx.sql<StandingRow>(STANDINGS_SQL, [
    tx.organisationId,
    items.map(({ id }) => id),
  ]);
  const byId = new Map(rows.map((row) => [row.id, row]));
  return items.map((item) => {
    const row = byId.get(item.id);
    if (!row) throw new Error('A contribution was lost while it was completed');
    const { agreedQuantity, unitRate, currency, dueOn, endedOn } = item;
    const givenQuantity = quantityText(row.given);
    const missingQuantity = missingOf(agreedQuantity, givenQuantity);
    const isMissing = missingQuantity !== '0';
    return {
      ...item,
      materialCode: row.material_code,
      status:
        endedOn !== null ? 'ended' : !isMissing ? 'given' : row.is_waived ? 'waived' : 'missing',
      isOverdue: endedOn === null && isMissing && dueOn < today,
      givenQuantity,
      missingQuantity,
      agreedValue: lineAmount(agreedQuantity, unitRate, currency),
      givenValue: moneyOf(row.given_amount, currency),
    };
  });
}

export const missingOf = (agreed: string, given: string) =>
  compareQuantities(given, agreed) >= 0 ? '0' : subtractQuantities(agreed, given);
