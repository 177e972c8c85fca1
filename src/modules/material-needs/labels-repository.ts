import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

export interface MaterialLabel {
  readonly id: string;
  readonly code: string;
  readonly name: string;
}

export interface Labels {
  readonly materials: ReadonlyMap<string, MaterialLabel>;
  readonly villages: ReadonlyMap<string, MaterialLabel>;
}

export interface BuyableOffer {
  readonly id: string;
  readonly materialId: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly pricePerPack: string;
  readonly minimumPacks: number;
  readonly leadDays: number;
}

const labelsSql = (table: 'material' | 'village' | 'store') =>
  `select id, code, name from ${table} where organisation_id = $1 and id = any($2)`;

/** The offer with the lowest price a unit for each material, of those that hold on the day. */
const CHEAPEST_OFFERS_SQL = `
  select distinct on (material_id) id, material_id as "materialId", pack_code as "packCode",
    pack_content as "packContent", price_per_pack as "pricePerPack", minimum_packs as "minimumPacks",
    lead_days as "leadDays"
  from offer
  where organisation_id = $1 and material_id = any($2) and currency = $3
    and valid_from <= $4 and valid_until >= $4 and (withdrawn_on is null or withdrawn_on > $4)
  order by material_id, price_per_pack / pack_content, lead_days, id`;

async function findLabels(tx: Tx, table: 'material' | 'village' | 'store', ids: readonly string[]) {
  const rows = await tx.sql<MaterialLabel>(labelsSql(table), [
    tx.organisationId,
    [...new Set(ids)],
  ]);
  return new Map(rows.map((row) => [row.id, row]));
}

/** Codes and names of what needs speak of. */
export async function labelsOf(
  tx: Tx,
  needs: readonly { readonly materialId: string; readonly villageId: string }[],
): Promise<Labels> {
  return {
    materials: await findLabels(
      tx,
      'material',
      needs.map(({ materialId }) => materialId),
    ),
    villages: await findLabels(
      tx,
      'village',
      needs.map(({ villageId }) => villageId),
    ),
  };
}

export const storeLabels = (tx: Tx, ids: readonly string[]) => findLabels(tx, 'store', ids);

/** By material: what one would buy week by week if nothing but the price counted. */
export async function cheapestOffers(
  tx: Tx,
  materialIds: readonly string[],
  currency: string,
  onDate: string,
): Promise<ReadonlyMap<string, BuyableOffer>> {
  const rows = await tx.sql<BuyableOffer>(CHEAPEST_OFFERS_SQL, [
    tx.organisationId,
    [...new Set(materialIds)],
    currency,
    onDate,
  ]);
  return new Map(
    rows.map((row) => [
      row.materialId,
      {
        ...row,
        packContent: quantityText(row.packContent),
        pricePerPack: quantityText(row.pricePerPack),
      },
    ]),
  );
}
