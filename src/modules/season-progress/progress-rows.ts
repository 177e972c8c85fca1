import type { SeasonProgressRow } from '../../../shared/contract/season-progress.ts';
import { type Money, zeroMoney } from '../../../shared/costing/money.ts';
import { valueStanding } from '../../../shared/scheduling/value-standing.ts';
import { moneyOf } from '../../db/wire-values.ts';
import type { CostStanding } from './cost-book.ts';
import type { GroupRow, ValueRow } from './value-repository.ts';

const NOTHING: ValueRow = {
  buildCount: 0,
  bac: '0',
  pv: '0',
  ev: '0',
  inKindBac: '0',
  inKindPv: '0',
  inKindEv: '0',
};

/** Sums at the data date with what follows from them. */
export function standingOf(
  row: ValueRow,
  actualCost: Money,
  contributed: Money,
): Omit<SeasonProgressRow, 'id' | 'code' | 'name'> {
  const { currency } = actualCost;
  return {
    buildCount: row.buildCount,
    ...valueStanding({
      budgetAtCompletion: moneyOf(row.bac, currency),
      plannedValue: moneyOf(row.pv, currency),
      earnedValue: moneyOf(row.ev, currency),
      actualCost,
    }),
    inKind: {
      budget: moneyOf(row.inKindBac, currency),
      planned: moneyOf(row.inKindPv, currency),
      earned: moneyOf(row.inKindEv, currency),
      contributed,
    },
  };
}

/** A row with the costs of its key. */
export function progressRow(
  group: GroupRow,
  costs: CostStanding,
  currency: string,
): SeasonProgressRow {
  const { id, code, name } = group;
  const zero = zeroMoney(currency);
  const [actual, contributed] = [costs.actualByKey, costs.inKindByKey].map(
    (byKey) => byKey.get(id ?? '') ?? zero,
  );
  return { id, code, name, ...standingOf(group, actual ?? zero, contributed ?? zero) };
}

/** One row a grant, and one for what no grant pays for when there is any. */
export function grantRows(
  grants: readonly { readonly id: string; readonly code: string; readonly name: string }[],
  values: ReadonlyMap<string, ValueRow>,
  costs: CostStanding,
  currency: string,
): SeasonProgressRow[] {
  const known = new Map(grants.map((grant) => [grant.id, grant]));
  const keys = [...values.keys(), ...costs.actualByKey.keys(), ...costs.inKindByKey.keys()];
  // A build may be paid by a grant of another programme; it has a row too.
  const foreign = [...new Set(keys)].filter((key) => key !== '' && !known.has(key)).sort();
  const rows = [
    ...grants,
    ...foreign.map((id) => ({ id, code: null, name: null })),
    ...(keys.includes('') ? [{ id: null, code: null, name: null }] : []),
  ];
  return rows.map((grant) =>
    progressRow({ ...NOTHING, ...values.get(grant.id ?? ''), ...grant }, costs, currency),
  );
}
