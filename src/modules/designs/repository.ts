import type {
  NewTankDesign,
  TankDesign,
  TankDesignPatch,
} from '../../../shared/contract/tank-design.ts';
import type { TankKind } from '../../../shared/contract/tank-kind.ts';
import { documentStore } from '../../db/document-store.ts';
import type { TankDesignModel as TankDesignRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';
import type { TankDesignStore } from './use-cases.ts';

// The lock comes first and alone, so that the question after it sees what others have committed.
const LOCK_SQL = 'select id from tank_design where organisation_id = $1 and id = $2 for update';

const LAST_REVISION_SQL = `
  select coalesce(max(revision_number), 0) as last from design_revision
  where organisation_id = $1 and design_id = $2`;

const RECIPE_SQL = `
  select k.recipe from tank_design d
    join tank_kind k on k.organisation_id = d.organisation_id and k.id = d.tank_kind_id
  where d.organisation_id = $1 and d.id = $2`;

export const tankDesignStore: TankDesignStore = {
  ...documentStore<TankDesignRow, TankDesign, NewTankDesign, TankDesignPatch>({
    noun: 'tank design',
    sortKey: 'code',
    delegate: (prisma) => prisma.tankDesign,
    toWire: (row) => ({
      ...documentFieldsOf(row),
      code: row.code,
      name: row.name,
      tankKindId: row.tankKindId,
    }),
    toColumns: (input) => input,
  }),
  async lastRevisionNumber(tx, id) {
    await tx.sql(LOCK_SQL, [tx.organisationId, id]);
    const [row] = await tx.sql<{ last: number }>(LAST_REVISION_SQL, [tx.organisationId, id]);
    return row?.last ?? 0;
  },
  async recipe(tx, id) {
    const rows = await tx.sql<{ recipe: TankKind['recipe'] }>(RECIPE_SQL, [tx.organisationId, id]);
    return rows[0]?.recipe ?? null;
  },
};
