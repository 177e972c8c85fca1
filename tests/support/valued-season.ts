import { randomUUID } from 'node:crypto';
import type { StageTemplate } from '../../shared/scheduling/stage-template.ts';
import { addDays } from '../../shared/units/calendar.ts';
import type { Random } from '../../src/demo/seeded-random.ts';
import { freezeBaselineValues } from '../../src/modules/season-progress/freeze-baseline.ts';
import { makeBuild } from './factories.ts';
import { clearBill } from './made-bills.ts';
import { publishPlan, type StageOfPlan } from './published-plan.ts';
import type { TestPerson, TestService } from './service.ts';

export const VALUED_STARTS_ON = '2026-03-02';

const stage = (code: string, workDays: number, wait: number, after: string[], hold = false) => ({
  code,
  title: code,
  workDays,
  crewSize: 3,
  minimumWaitDays: wait,
  after,
  holdPoint: hold ? ('hold' as const) : ('none' as const),
  releasedBy: hold ? ('inspector' as const) : null,
  needs: [],
  checks: [],
  cautions: [],
});

/** A slab that is held, a wall of a working week and more, a coat that cures, a short end. */
export const VALUED_STAGES = [
  stage('slab', 2, 3, [], true),
  stage('wall', 6, 0, ['slab']),
  stage('coat', 1, 14, ['wall']),
  stage('end', 1, 0, ['coat']),
] as unknown as StageTemplate;

export const VALUED_CODES = VALUED_STAGES.map(({ code }) => code);

export interface ValuedSeason {
  readonly person: TestPerson;
  readonly programmeId: string;
  readonly buildIds: readonly string[];
  readonly villageIds: readonly string[];
  readonly crewIds: readonly string[];
  readonly grantIds: readonly string[];
  readonly storeId: string;
  readonly stages: readonly StageOfPlan[];
}

export interface SeasonSize {
  readonly builds: number;
  readonly isPublished: boolean;
}

const shortCode = () => randomUUID().slice(0, 8);

/**
 * A season written straight into the tables: bills with odd cents, shares that do not divide, builds
 * with and without crew, grants and plan, facts of work good and bad, costs of every kind.
 */
export async function makeValuedSeason(
  service: TestService,
  random: Random,
  { builds, isPublished }: SeasonSize,
): Promise<ValuedSeason> {
  const person = await service.person(['coordinator']);
  const org = person.organisationId;
  const like = await makeBuild(service, person);
  const { programmeId } = like;
  await clearBill(service, person, like.buildId);
  const ids = (count: number) => Array.from({ length: count }, () => randomUUID());
  const [villageIds, crewIds, grantIds] = [ids(3), ids(2), ids(3)];
  const [storeId, donorId] = [randomUUID(), randomUUID()];
  const buildIds = ids(builds);
  const money = (most: number) => (random.integer(1, most * 100) / 100).toFixed(2);
  const stages: StageOfPlan[] = [];
  await service.as(person, async (tx) => {
    await tx.sql('update build set cancelled_on = $2 where id = $1', [like.buildId, '2026-01-05']);
    await tx.sql('update tank_kind set stages = $2 where id = $1', [
      like.tankKindId,
      JSON.stringify(VALUED_STAGES),
    ]);
    await tx.sql(
      `update programme set starts_on = $2, ends_on = '2026-10-31', working_weekdays = '{1,2,3,4,5,6}' where id = $1`,
      [programmeId, VALUED_STARTS_ON],
    );
    await tx.sql(
      `insert into donor (organisation_id, id, code, name) values ($1, $2, $3, 'Donor')`,
      [org, donorId, shortCode()],
    );
    await tx.sql(
      `insert into store (organisation_id, id, code, name, place) values ($1, $2, $3, 'Store', 'Road')`,
      [org, storeId, shortCode()],
    );
    for (const [at, id] of villageIds.entries()) {
      await tx.sql(
        `insert into village (organisation_id, id, code, name, district, no_work_weekdays)
         values ($1, $2, $3, 'Village', 'District', $4)`,
        [org, id, `V${at}-${shortCode()}`, at === 0 ? [3] : []],
      );
    }
    for (const id of crewIds) {
      await tx.sql(
        `insert into crew (organisation_id, id, programme_id, code, name, size) values ($1, $2, $3, $4, 'Crew', 4)`,
        [org, id, programmeId, shortCode()],
      );
    }
    for (const id of grantIds) {
      await tx.sql(
        `insert into grant_agreement (organisation_id, id, programme_id, donor_id, code, title, currency, amount,
           starts_on, ends_on, rate_policy)
         values ($1, $2, $3, $4, $5, 'Grant', 'EUR', 100000, '2026-01-01', '2027-12-31', 'fixed')`,
        [org, id, programmeId, donorId, shortCode()],
      );
    }
    for (const [at, buildId] of buildIds.entries()) {
      const siteId = randomUUID();
      const startsOn = addDays(VALUED_STARTS_ON, random.integer(0, 40));
      await tx.sql(
        `insert into site (organisation_id, id, programme_id, village_id, code, kind, roof_area_m2, roof_kind, people_served)
         values ($1, $2, $3, $4, $5, 'household', 40, 'metal-sheet', 6)`,
        [org, siteId, programmeId, villageIds[at % 3], shortCode()],
      );
      await tx.sql(
        `insert into build (organisation_id, id, programme_id, site_id, village_id, design_revision_id, tank_kind_id,
           code, priced_on, crew_id, planned_start_on)
         values ($1, $2, $3, $4, $5, $6, $7, $8, '2026-01-01', $9, $10)`,
        [
          ...[org, buildId, programmeId, siteId, villageIds[at % 3], like.designRevisionId],
          ...[like.tankKindId, `B-${shortCode()}`, at % 4 === 3 ? null : crewIds[at % 2]],
          random.next() < 0.9 ? startsOn : null,
        ],
      );
      await tx.sql(
        `insert into bill_line (organisation_id, build_id, line_code, position, stage_code, part, material_id,
           unit_code, net_quantity, waste_ratio, with_waste_quantity, unit_rate, currency, amount, is_in_kind)
         select $1, $2, code || ' ' || kind, 1, code, 'wall', (select id from material where organisation_id = $1 limit 1),
           'KGM', 1, 0, 1, 1, 'EUR', amount, kind = 'in-kind'
         from unnest($3::text[], $4::text[], $5::numeric[]) as l (code, kind, amount)`,
        [
          ...[org, buildId, [...VALUED_CODES, ...VALUED_CODES]],
          VALUED_CODES.concat(VALUED_CODES).map((_, place) => (place < 4 ? 'cash' : 'in-kind')),
          VALUED_CODES.concat(VALUED_CODES).map(() => money(300)),
        ],
      );
      await shareOut(tx.sql, org, buildId, grantIds, random);
      let from = startsOn;
      for (const code of VALUED_CODES) {
        const begins = addDays(from, random.integer(0, 4));
        const finishesOn = addDays(begins, random.integer(0, 9));
        const crewId = crewIds[at % 2] ?? null;
        stages.push({ buildId, stageCode: code, crewId, startsOn: begins, finishesOn });
        from = addDays(finishesOn, 1);
      }
    }
  });
  // The last build came after the plan.
  const planned = stages.filter(({ buildId }) => buildId !== buildIds.at(-1));
  if (isPublished) {
    const planId = await publishPlan(service, person, programmeId, planned);
    await service.as(person, (tx) => freezeBaselineValues(tx, planId));
  }
  const season = { person, programmeId, buildIds, villageIds, crewIds, grantIds, storeId };
  return { ...season, stages: isPublished ? planned : [] };
}

async function shareOut(
  sql: (text: string, values: unknown[]) => Promise<unknown>,
  org: string,
  buildId: string,
  grantIds: readonly string[],
  random: Random,
) {
  const cuts = random.integer(0, 3);
  if (cuts === 0) return;
  const ratios = cuts === 1 ? ['1'] : cuts === 2 ? ['0.33333333', '0.66666667'] : THIRDS;
  for (const [index, ratio] of ratios.entries()) {
    await sql(
      `insert into build_grant_share (organisation_id, build_id, grant_id, share_ratio) values ($1, $2, $3, $4)`,
      [org, buildId, grantIds[index], ratio],
    );
  }
}

const THIRDS = ['0.33333333', '0.33333333', '0.33333334'];

/** Facts of work on some builds: in order, out of order, refused, put right and rejected. */
export async function recordWork(
  service: TestService,
  { person, buildIds }: ValuedSeason,
  random: Random,
): Promise<void> {
  const org = person.organisationId;
  await service.as(person, async (tx) => {
    for (const buildId of buildIds) {
      if (random.next() < 0.2) continue;
      let day = random.integer(0, 30);
      const insert = async (code: string, kind: string, decides?: { id: string; as: string }) => {
        const id = randomUUID();
        await tx.sql(
          `insert into stage_record (organisation_id, id, build_id, stage_code, kind, observed_on, reason,
             recorded_by_id, decision, decides_record_id)
           values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
          [
            ...[org, id, buildId, code, kind, addDays(VALUED_STARTS_ON, day)],
            kind === 'hold-refused' || decides ? 'Cracked' : null,
            ...[person.personId, decides?.as ?? null, decides?.id ?? null],
          ],
        );
        return id;
      };
      await tx.sql('update build set started_on = $2 where id = $1', [
        buildId,
        addDays(VALUED_STARTS_ON, day),
      ]);
      const until = random.integer(1, 4);
      for (const code of VALUED_CODES.slice(0, until)) {
        await insert(code, 'started');
        day += random.integer(0, 8);
        if (random.next() < 0.15) break;
        await insert(code, 'finished');
        day += random.integer(0, 3);
        if (code === 'slab') {
          if (random.next() < 0.3) {
            const refused = await insert(code, 'hold-refused');
            day += 1;
            const as = random.next() < 0.5 ? 'rework' : 'reject';
            await insert(code, 'nonconformity-decided', { id: refused, as });
            day += 1;
            if (random.next() < 0.4) break;
            await insert(code, 'started');
            await insert(code, 'finished');
          }
          await insert(code, 'hold-released');
        }
        day += random.integer(3, 16);
      }
    }
  });
}

/** Costs beside orders: by build and without, by grant and without, moved on, taken back, in kind. */
export async function spend(
  service: TestService,
  { person, programmeId, buildIds, grantIds }: ValuedSeason,
  random: Random,
  count: number,
): Promise<void> {
  await service.as(person, async (tx) => {
    const post = async (row: Record<string, unknown>) => {
      const entry = {
        id: randomUUID(),
        build_id: null,
        grant_id: null,
        reverses_id: null,
        funding: 'cash',
        currency: 'EUR',
        ...row,
      };
      const isCharged = entry.grant_id !== null;
      const of = entry as unknown as Record<string, string | null>;
      await tx.sql(
        `insert into cost_entry (organisation_id, id, programme_id, grant_id, build_id, state, funding, occurred_on,
           description, evidence, amount, currency, grant_amount, grant_currency, rate, rate_on, rate_source,
           reverses_id, recorded_by_id)
         values ($1, $2, $3, $4, $5, $6, $7, $8, 'Made for a test', 'Paper', $9, $10, $11, $12, $13, $14, $15, $16, $17)`,
        [
          ...[person.organisationId, of.id, programmeId, of.grant_id, of.build_id, of.state],
          ...[of.funding, of.occurred_on, of.amount, of.currency],
          ...(isCharged ? [of.amount, of.currency, '1', of.occurred_on, 'same'] : nulls(5)),
          ...[of.reverses_id, person.personId],
        ],
      );
      return entry.id;
    };
    for (let turn = 0; turn < count; turn += 1) {
      const amount = (random.integer(1, 30_000) / 100).toFixed(2);
      const day = random.integer(0, 60);
      const common = {
        amount,
        build_id: random.next() < 0.7 ? random.pick(buildIds) : null,
        grant_id: random.next() < 0.7 ? random.pick(grantIds) : null,
        funding: random.next() < 0.2 ? 'in-kind' : 'cash',
        currency: random.next() < 0.1 ? 'USD' : 'EUR',
        occurred_on: addDays(VALUED_STARTS_ON, day),
      };
      const first = random.pick(['committed', 'accrued', 'paid']);
      const id = await post({ ...common, state: first });
      if (random.next() < 0.3) {
        const later = { ...common, occurred_on: addDays(VALUED_STARTS_ON, day + 5) };
        await post({ ...later, state: first, amount: `-${amount}`, reverses_id: id });
        if (random.next() < 0.7) await post({ ...later, state: 'paid' });
      }
    }
  });
}

const nulls = (count: number) => Array.from({ length: count }, () => null);

export interface BoughtGoods {
  readonly orderId: string;
  readonly lineId: string;
  readonly materialId: string;
}

/**
 * An order of one line that the ledger follows, charged as accrued on the day on which its goods came,
 * with what became of them in the store.
 */
export async function buyGoods(
  service: TestService,
  { person, programmeId, villageIds, storeId }: ValuedSeason,
  goods: {
    readonly ordered: string;
    readonly amount: string;
    readonly received: string;
    readonly receivedOn: string;
    /** Accrued and paid; what the received part is worth. */
    readonly owed: string;
    readonly grantId?: string | null;
    readonly buildId?: string | null;
    readonly materialId?: string;
  },
): Promise<BoughtGoods> {
  const org = person.organisationId;
  const [orderId, lineId, supplierId, offerId] = Array.from({ length: 4 }, () => randomUUID());
  const materialId = goods.materialId ?? randomUUID();
  const { grantId = null, buildId = null } = goods;
  await service.as(person, async (tx) => {
    if (goods.materialId === undefined) {
      await tx.sql(
        `insert into material (organisation_id, id, code, name, category, unit_code)
         values ($1, $2, $3, 'Wire', 'other', 'KGM')`,
        [org, materialId, `m-${shortCode()}`],
      );
    }
    await tx.sql(
      `insert into supplier (organisation_id, id, code, name, place) values ($1, $2, $3, 'Supplier', 'Town')`,
      [org, supplierId, shortCode()],
    );
    await tx.sql(
      `insert into offer (organisation_id, id, supplier_id, material_id, pack_code, pack_content, price_per_pack,
         currency, lead_days, valid_from, valid_until)
       values ($1, $2, $3, $4, 'XPK', $5, $6, 'EUR', 3, '2026-01-01', '2026-12-31')`,
      [org, offerId, supplierId, materialId, goods.ordered, goods.amount],
    );
    await tx.sql(
      `insert into purchase_order (organisation_id, id, programme_id, supplier_id, delivery_village_id, code, status,
         currency, priced_on, placed_on, cost_shares)
       values ($1, $2, $3, $4, $5, $6, 'placed', 'EUR', '2026-02-01', '2026-02-01', '[]')`,
      [org, orderId, programmeId, supplierId, villageIds[0], shortCode()],
    );
    await tx.sql(
      `insert into purchase_order_line (organisation_id, id, order_id, material_id, offer_id, unit_code, need_quantity,
         pack_code, pack_content, pack_count, ordered_quantity, rounding_quantity, price_per_pack, amount)
       values ($1, $2, $3, $4, $5, 'KGM', $6, 'XPK', $6, 1, $6, 0, $7, $7)`,
      [org, lineId, orderId, materialId, offerId, goods.ordered, goods.amount],
    );
    await tx.sql(
      `insert into stock_entry (organisation_id, id, store_id, material_id, kind, quantity, unit_code, observed_on,
         order_line_id, recorded_by_id)
       values ($1, $2, $3, $4, 'receive', $5, 'KGM', $6, $7, $8)`,
      [
        ...[org, randomUUID(), storeId, materialId, goods.received, goods.receivedOn],
        ...[lineId, person.personId],
      ],
    );
    await tx.sql(
      `insert into cost_entry (organisation_id, id, programme_id, grant_id, build_id, order_id, state, funding,
         occurred_on, description, amount, currency, grant_amount, grant_currency, rate, rate_on, rate_source,
         recorded_by_id, follows_order)
       values ($1, $2, $3, $4, $5, $6, 'accrued', 'cash', $7, 'Order', $8, 'EUR', $9, $10, $11, $12, $13, $14, true)`,
      [
        ...[org, randomUUID(), programmeId, grantId, buildId, orderId, goods.receivedOn],
        goods.owed,
        ...(grantId ? [goods.owed, 'EUR', '1', goods.receivedOn, 'same'] : nulls(5)),
        person.personId,
      ],
    );
  });
  return { orderId: orderId ?? '', lineId: lineId ?? '', materialId };
}

/** A movement of goods in the store: signed quantity. */
export async function moveGoods(
  service: TestService,
  { person, storeId }: ValuedSeason,
  kind: 'issue' | 'return' | 'write-off' | 'receive',
  materialId: string,
  quantity: string,
  observedOn: string,
  buildId: string | null = null,
): Promise<void> {
  await service.as(person, (tx) =>
    tx.sql(
      `insert into stock_entry (organisation_id, id, store_id, material_id, kind, quantity, unit_code, observed_on,
         build_id, recorded_by_id)
       values ($1, $2, $3, $4, $5, $6, 'KGM', $7, $8, $9)`,
      [
        ...[person.organisationId, randomUUID(), storeId, materialId, kind, quantity, observedOn],
        ...[buildId, person.personId],
      ],
    ),
  );
}
