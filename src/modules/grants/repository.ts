import type { Grant, GrantPatch, NewGrant } from '../../../shared/contract/grant.ts';
import { documentStore } from '../../db/document-store.ts';
import type { GrantAgreementModel as GrantRow } from '../../db/generated/models.ts';
import { civilDate, documentFieldsOf, moneyOf, withDates } from '../../db/wire-values.ts';
import type { GrantStore } from './use-cases.ts';

// The lock comes first and alone, so that the sum after it sees what others have committed.
const LOCK_SQL = `
  select amount, currency, starts_on, ends_on from grant_agreement
  where organisation_id = $1 and id = $2 for update`;

const USE_SQL = `
  select
    coalesce((select sum(amount) from budget_line
      where organisation_id = $1 and grant_id = $2 and id is distinct from $3), 0) as budgeted,
    exists (select from budget_line where organisation_id = $1 and grant_id = $2)
      or exists (select from cost_entry where organisation_id = $1 and grant_id = $2) as is_used`;

interface LockRow {
  amount: string;
  currency: string;
  starts_on: string;
  ends_on: string;
}

export const grantStore: GrantStore = {
  ...documentStore<GrantRow, Grant, NewGrant, GrantPatch>({
    noun: 'grant',
    sortKey: 'code',
    delegate: (prisma) => prisma.grantAgreement,
    toWire: (row) => ({
      ...documentFieldsOf(row),
      programmeId: row.programmeId,
      donorId: row.donorId,
      code: row.code,
      title: row.title,
      amount: moneyOf(row.amount, row.currency),
      startsOn: civilDate(row.startsOn),
      endsOn: civilDate(row.endsOn),
      ratePolicy: row.ratePolicy as Grant['ratePolicy'],
      restrictions: row.restrictions,
    }),
    toColumns: ({ amount, ...columns }) => ({
      ...withDates(columns, ['startsOn', 'endsOn']),
      ...amount,
    }),
  }),
  async lock(tx, id, exceptBudgetLineId = null) {
    const [grant] = await tx.sql<LockRow>(LOCK_SQL, [tx.organisationId, id]);
    if (!grant) return null;
    const [use] = await tx.sql<{ budgeted: string; is_used: boolean }>(USE_SQL, [
      tx.organisationId,
      id,
      exceptBudgetLineId,
    ]);
    return {
      amount: moneyOf(grant.amount, grant.currency),
      budgeted: moneyOf(use?.budgeted ?? '0', grant.currency),
      isUsed: use?.is_used ?? false,
      startsOn: grant.starts_on,
      endsOn: grant.ends_on,
    };
  },
};
