import { randomUUID } from 'node:crypto';
import type { Database } from '../../src/db/database.ts';
import type { Random } from '../../src/demo/seeded-random.ts';
import { makeBuild } from './factories.ts';
import type { Founded } from './founding.ts';
import type { TestPerson, TestService } from './service.ts';

export interface StockSeason {
  readonly storeIds: readonly string[];
  /** Lots of each material; none for a material whose lots are not told apart. */
  readonly materials: readonly { readonly id: string; readonly lotIds: readonly string[] }[];
  readonly buildIds: readonly string[];
}

const STORES = 3;
const BUILDS = 4;
const LOTS = [3, 3, 0, 0];

/** Stores, builds and materials, half of them with lots, one lot of each long expired. */
export async function foundStock(db: Database, { actor }: Founded): Promise<StockSeason> {
  const storeIds = Array.from({ length: STORES }, () => randomUUID());
  const materials = LOTS.map((lots) => ({
    id: randomUUID(),
    lotIds: Array.from({ length: lots }, () => randomUUID()),
  }));
  const org = actor.organisationId;
  await db.withTenant(actor, async (tx) => {
    for (const [index, id] of storeIds.entries()) {
      await tx.sql(
        `insert into store (organisation_id, id, code, name, place) values ($1, $2, $3, 'Store', 'Road')`,
        [org, id, `ST-${index}`],
      );
    }
    for (const [index, { id, lotIds }] of materials.entries()) {
      await tx.sql(
        `insert into material (organisation_id, id, code, name, category, unit_code, lot_identity, shelf_life_days)
         values ($1, $2, $3, 'Material', 'binder', 'KGM', $4, $5)`,
        [
          org,
          id,
          `M-${index}`,
          lotIds.length > 0 ? 'manufacture-date' : 'none',
          lotIds.length > 0 ? 90 : null,
        ],
      );
      for (const [age, lotId] of lotIds.entries()) {
        await tx.sql(
          `insert into stock_lot (organisation_id, id, material_id, code, manufactured_on, expires_on, recorded_by_id)
           values ($1, $2, $3, $4, '2020-01-01', $5, $6)`,
          [
            org,
            lotId,
            id,
            `L-${age}`,
            age === 0 ? '2020-03-31' : `2099-0${age}-01`,
            actor.personId,
          ],
        );
      }
    }
  });
  const asService = {
    as: (_: unknown, work: Parameters<Database['withTenant']>[1]) => db.withTenant(actor, work),
  };
  const person = { organisationId: org, personId: actor.personId };
  const buildIds: string[] = [];
  for (let count = 0; count < BUILDS; count++) {
    const made = await makeBuild(asService as unknown as TestService, person as TestPerson);
    buildIds.push(made.buildId);
  }
  return { storeIds, materials, buildIds };
}

export interface StockOperation {
  /** The id of what is made, and its document number. */
  readonly id: string;
  readonly kind: 'receive' | 'issue' | 'slip' | 'return' | 'transfer' | 'count';
  readonly path: string;
  readonly body: Readonly<Record<string, unknown>>;
  /** Whether a repetition is told by an Idempotency-Key; otherwise by the id alone. */
  readonly hasKey: boolean;
}

/** A random posting of a storekeeper. */
export function randomOperation(
  random: Random,
  season: StockSeason,
  observedOn: string,
): StockOperation {
  const id = randomUUID();
  const material = random.pick(season.materials);
  const lotId = material.lotIds.length > 0 ? random.pick(material.lotIds) : undefined;
  const quantity = (random.integer(1, 30_000) / 1_000).toFixed(3);
  const [storeId, buildId] = [random.pick(season.storeIds), random.pick(season.buildIds)];
  const shared = { id, observedOn, documentNumber: id };
  const entry = (kind: StockOperation['kind'], fields: object, hasKey = random.next() < 0.5) => ({
    id,
    kind,
    path: 'stock-entries',
    body: { ...shared, kind, storeId, materialId: material.id, ...fields },
    hasKey,
  });
  const turn = random.next();
  if (turn < 0.34) return entry('receive', { quantity, ...(lotId ? { lotId } : {}) });
  if (turn < 0.42) return entry('issue', { quantity, buildId });
  if (turn < 0.5) return entry('return', { quantity, buildId, ...(lotId ? { lotId } : {}) });
  if (turn < 0.58) {
    const countedQuantity = (random.integer(0, 400_000) / 1_000).toFixed(3);
    return entry('count', { countedQuantity, lotId: lotId ?? null, reason: 'Counted' });
  }
  if (turn < 0.74) {
    const toStoreId = random.pick(season.storeIds.filter((each) => each !== storeId));
    const named = lotId && random.next() < 0.5 ? { lotId } : {};
    const fields = { fromStoreId: storeId, toStoreId, materialId: material.id, quantity };
    return {
      id,
      kind: 'transfer',
      path: 'stock-transfers',
      body: { ...shared, ...fields, ...named },
      hasKey: random.next() < 0.5,
    };
  }
  const lines = Array.from({ length: random.integer(1, 3) }, () => ({
    materialId: random.pick(season.materials).id,
    quantity: (random.integer(1, 30_000) / 1_000).toFixed(3),
  }));
  return {
    id,
    kind: 'slip',
    path: 'stock-issues',
    body: { ...shared, storeId, buildId, lines },
    hasKey: random.next() < 0.5,
  };
}
