import type { NewTankKind, TankKind, TankKindPatch } from '../../../shared/contract/tank-kind.ts';
import { documentStore } from '../../db/document-store.ts';
import type { TankKindModel as TankKindRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';
import type { TankKindStore } from './use-cases.ts';

// The lock comes first and alone, so that the question after it sees what others have committed.
const LOCK_SQL = 'select id from tank_kind where organisation_id = $1 and id = $2 for update';

const HAS_BUILDS_SQL = `
  select exists (select from build
    where organisation_id = $1 and tank_kind_id = $2 and cancelled_on is null) as has_builds`;

const INSERT_IF_ABSENT_SQL = `
  insert into tank_kind (organisation_id, id, code, name, recipe, stages)
  values ($1, $2, $3, $4, $5, $6) on conflict on constraint tank_kind_code_key do nothing
  returning id`;

const FIND_BY_CODE_SQL = 'select id from tank_kind where organisation_id = $1 and code = $2';

const documents = documentStore<TankKindRow, TankKind, NewTankKind, TankKindPatch>({
  noun: 'tank kind',
  sortKey: 'code',
  delegate: (prisma) => prisma.tankKind,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    recipe: row.recipe as unknown as TankKind['recipe'],
    stages: row.stages as unknown as TankKind['stages'],
  }),
  toColumns: (input) => input,
});

export const tankKindStore: TankKindStore = {
  ...documents,
  async hasBuilds(tx, id) {
    await tx.sql(LOCK_SQL, [tx.organisationId, id]);
    const [row] = await tx.sql<{ has_builds: boolean }>(HAS_BUILDS_SQL, [tx.organisationId, id]);
    return row?.has_builds ?? false;
  },
  async ensure(tx, id, { code, name, recipe, stages }) {
    const json = [JSON.stringify(recipe), JSON.stringify(stages)];
    const made = await tx.sql(INSERT_IF_ABSENT_SQL, [tx.organisationId, id, code, name, ...json]);
    if (made.length > 0) await tx.audit('create', 'tank kind', id, { code, name });
    const rows = await tx.sql<{ id: string }>(FIND_BY_CODE_SQL, [tx.organisationId, code]);
    return documents.get(tx, rows[0]?.id ?? id);
  },
};
