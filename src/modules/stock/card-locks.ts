import type { LotFacts } from '../../../shared/procurement/lot-standing.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

/** One material in one store. */
export interface Card {
  readonly storeId: string;
  readonly materialId: string;
}

export interface LotInStore extends Card {
  readonly lotId: string;
  readonly code: string;
  readonly quantity: string;
  readonly facts: LotFacts;
}

export interface LockedCard extends Card {
  readonly quantity: string;
}

const OPEN_SQL = `
  insert into stock_balance (organisation_id, store_id, material_id, quantity)
  select $1, store_id, material_id, 0 from unnest($2::uuid[], $3::uuid[]) as card(store_id, material_id)
  on conflict do nothing`;

// Always in this order, so that two who want the same cards never wait for each other crosswise. A
// recall holds the cards of its lot as well: who waited here sees it after.
const LOCK_SQL = `
  select b.store_id as "storeId", b.material_id as "materialId", b.quantity from stock_balance b
  where b.organisation_id = $1
    and (b.store_id, b.material_id) in (select * from unnest($2::uuid[], $3::uuid[]))
  order by b.store_id, b.material_id for update`;

const LOTS_SQL = `
  select b.store_id as "storeId", b.material_id as "materialId", b.lot_id as "lotId", l.code, b.quantity,
    l.expires_on as "expiresOn", t.outcome, t.tested_on as "testedOn", t.usable_until as "usableUntil",
    (select max(r.recalled_on) from lot_recall r
      where r.organisation_id = l.organisation_id and r.lot_id = l.id and r.lifts_id is null
        and not exists (select from lot_recall f
          where f.organisation_id = r.organisation_id and f.lifts_id = r.id)) as "recalledOn"
  from stock_lot_balance b
    join stock_lot l on l.organisation_id = b.organisation_id and l.id = b.lot_id
    left join lateral (select outcome, tested_on, usable_until from lot_test t
      where t.organisation_id = l.organisation_id and t.lot_id = l.id
      order by tested_on desc, recorded_at desc, id desc limit 1) t on true
  where b.organisation_id = $1
    and (b.store_id, b.material_id) in (select * from unnest($2::uuid[], $3::uuid[]))`;

interface LotInStoreRow extends Card {
  readonly lotId: string;
  readonly code: string;
  readonly quantity: string;
  readonly expiresOn: string | null;
  readonly outcome: 'passed' | 'failed' | null;
  readonly testedOn: string | null;
  readonly usableUntil: string | null;
  readonly recalledOn: string | null;
}

const LOCK_BUILD_SQL =
  'select id from build where organisation_id = $1 and id = $2 for no key update';

const AT_BUILD_SQL = `
  select e.lot_id as "lotId", l.code, -sum(e.quantity) as quantity from stock_entry e
    left join stock_lot l on l.organisation_id = e.organisation_id and l.id = e.lot_id
  where e.organisation_id = $1 and e.build_id = $2 and e.material_id = $3 and e.kind in ('issue', 'return')
  group by e.lot_id, l.code having sum(e.quantity) <> 0
  order by l.code nulls last`;

/** Holds the balances of those cards, and of their lots, against others until the transaction ends. */
export async function lockCards(
  tx: Tx,
  cards: readonly Card[],
): Promise<{ cards: LockedCard[]; lots: LotInStore[] }> {
  const wanted = [...new Map(cards.map((card) => [cardKey(card), card]))].sort(([a], [b]) =>
    a < b ? -1 : 1,
  );
  const values = [
    tx.organisationId,
    wanted.map(([, { storeId }]) => storeId),
    wanted.map(([, { materialId }]) => materialId),
  ];
  let locked = await tx.sql<LockedCard>(LOCK_SQL, values);
  if (locked.length < wanted.length) {
    await tx.sql(OPEN_SQL, values);
    locked = await tx.sql<LockedCard>(LOCK_SQL, values);
  }
  const rows = await tx.sql<LotInStoreRow>(LOTS_SQL, values);
  return {
    cards: locked.map((card) => ({ ...card, quantity: quantityText(card.quantity) })),
    lots: rows.map(({ storeId, materialId, lotId, code, quantity, ...facts }) => ({
      storeId,
      materialId,
      lotId,
      code,
      quantity: quantityText(quantity),
      facts: {
        expiresOn: facts.expiresOn,
        recalledOn: facts.recalledOn,
        lastTest:
          facts.outcome === null || facts.testedOn === null
            ? null
            : {
                outcome: facts.outcome,
                testedOn: facts.testedOn,
                usableUntil: facts.usableUntil,
              },
      },
    })),
  };
}

export const cardKey = ({ storeId, materialId }: Card): string => `${storeId} ${materialId}`;

export interface LotAtBuild {
  readonly lotId: string | null;
  readonly code: string | null;
  readonly quantity: string;
}

/** What was issued to a build and not returned, by lot; further returns wait until the transaction ends. */
export async function lockQuantityAtBuild(
  tx: Tx,
  buildId: string,
  materialId: string,
): Promise<LotAtBuild[]> {
  await tx.sql(LOCK_BUILD_SQL, [tx.organisationId, buildId]);
  const rows = await tx.sql<LotAtBuild>(AT_BUILD_SQL, [tx.organisationId, buildId, materialId]);
  return rows.map((row) => ({ ...row, quantity: quantityText(row.quantity) }));
}
