import type {
  NewVillage,
  Village,
  VillagePatch,
  VillageRoad,
} from '../../../shared/contract/village.ts';
import type { Tx } from '../../db/database.ts';
import { documentStore, withRelated } from '../../db/document-store.ts';
import type { VillageModel as VillageRow } from '../../db/generated/models.ts';
import { documentFieldsOf, numberOrNull } from '../../db/wire-values.ts';
import type { VillageStore } from './use-cases.ts';

const ROADS_SQL = `
  select village_id, store_id as "storeId", road_km as "roadKm" from village_road
  where organisation_id = $1 and village_id = any($2) order by road_km, store_id`;

const CLEAR_ROADS_SQL = 'delete from village_road where organisation_id = $1 and village_id = $2';

const SET_ROADS_SQL = `
  insert into village_road (organisation_id, village_id, store_id, road_km)
  select $1, $2, store_id, road_km from unnest($3::uuid[], $4::float8[]) as road (store_id, road_km)`;

const KNOWN_STORES_SQL = 'select id from store where organisation_id = $1 and id = any($2)';

type BareVillage = Omit<Village, 'roads'>;

const bare = documentStore<VillageRow, BareVillage, NewVillage, VillagePatch>({
  noun: 'village',
  sortKey: 'code',
  delegate: (prisma) => prisma.village,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    district: row.district,
    latDeg: numberOrNull(row.latDeg),
    lonDeg: numberOrNull(row.lonDeg),
    reachableMonths: row.reachableMonths,
    rainStationId: row.rainStationId,
    noWorkWeekdays: row.noWorkWeekdays,
  }),
  toColumns: ({ roads: _, ...columns }) => columns,
});

/** Villages with their roads to stores, nearest first. */
export const villageStore: VillageStore = {
  ...withRelated<BareVillage, Village, NewVillage, VillagePatch>(
    {
      ...bare,
      async create(tx, id, input) {
        const made = await bare.create(tx, id, input);
        await replaceRoads(tx, id, input.roads);
        return made;
      },
      async update(tx, id, version, patch) {
        const changed = await bare.update(tx, id, version, patch);
        if (patch.roads) await replaceRoads(tx, id, patch.roads);
        return changed;
      },
    },
    async (tx, villages) => {
      const ids = villages.map(({ id }) => id);
      const roads = await tx.sql<VillageRoad & { village_id: string }>(ROADS_SQL, [
        tx.organisationId,
        ids,
      ]);
      return villages.map((village) => ({
        ...village,
        roads: roads
          .filter((road) => road.village_id === village.id)
          .map(({ storeId, roadKm }) => ({ storeId, roadKm })),
      }));
    },
  ),
  async knownStoreIds(tx, storeIds) {
    const rows = await tx.sql<{ id: string }>(KNOWN_STORES_SQL, [tx.organisationId, storeIds]);
    return new Set(rows.map(({ id }) => id));
  },
};

async function replaceRoads(tx: Tx, villageId: string, roads: readonly VillageRoad[]) {
  await tx.sql(CLEAR_ROADS_SQL, [tx.organisationId, villageId]);
  if (roads.length === 0) return;
  await tx.sql(SET_ROADS_SQL, [
    tx.organisationId,
    villageId,
    roads.map(({ storeId }) => storeId),
    roads.map(({ roadKm }) => roadKm),
  ]);
}
