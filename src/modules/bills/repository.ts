import type { BillQuery, BuildBill } from '../../../shared/contract/bill.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';

const BUILD_SQL = `
  select b.id, b.code, b.design_revision_id as "designRevisionId", b.priced_on as "pricedOn",
    p.currency, r.capacity_l as "capacityL"
  from build b
    join programme p on p.organisation_id = b.organisation_id and p.id = b.programme_id
    join design_revision r on r.organisation_id = b.organisation_id and r.id = b.design_revision_id
  where b.organisation_id = $1 and b.id = $2`;

const LINES_SQL = `
  select l.line_code as "lineCode", l.position, l.stage_code as "stageCode", l.part,
    l.material_id as "materialId", m.code as "materialCode", m.name as "materialName", m.category,
    l.unit_code as "unitCode", l.net_quantity as "netQuantity", l.waste_ratio as "wasteRatio",
    l.with_waste_quantity as "withWasteQuantity", l.offer_id as "offerId", l.unit_rate as "unitRate",
    l.currency, l.amount, l.is_in_kind as "isInKind"
  from bill_line l
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where l.organisation_id = $1 and l.build_id = $2
  order by l.position, l.line_code`;

/** The builds that a question is about; a cancelled one counts only where it is named itself. */
const SCOPE = `
  select b.id, b.organisation_id from build b
  where b.organisation_id = $1 and ($2::uuid is null or b.id = $2)
    and ($3::uuid is null or b.village_id = $3) and ($4::uuid is null or b.programme_id = $4)
    and ($5::uuid is null or exists (select from build_grant_share g
      where g.organisation_id = b.organisation_id and g.build_id = b.id and g.grant_id = $5))
    and ($2::uuid is not null or b.cancelled_on is null)`;

const COUNT_SQL = `with scope as (${SCOPE}) select count(*) as count from scope`;

const TOTALS_SQL = `
  with scope as (${SCOPE}),
  total as (
    select l.part, l.stage_code, l.material_id, l.unit_code, l.currency, l.is_in_kind,
      sum(l.net_quantity) as net_quantity, sum(l.with_waste_quantity) as with_waste_quantity,
      sum(l.amount) as amount, min(l.position) as position
    from scope s
      join bill_line l on l.organisation_id = s.organisation_id and l.build_id = s.id
    group by l.part, l.stage_code, l.material_id, l.unit_code, l.currency, l.is_in_kind
  )
  select t.part, t.stage_code as "stageCode", t.material_id as "materialId", m.code as "materialCode",
    m.name as "materialName", m.category, t.unit_code as "unitCode", t.currency,
    t.is_in_kind as "isInKind", t.net_quantity as "netQuantity",
    t.with_waste_quantity as "withWasteQuantity", t.amount
  from total t
    join material m on m.organisation_id = $1 and m.id = t.material_id
  order by t.position, t.part, t.stage_code, m.code, t.currency, t.is_in_kind`;

/**
 * Equal lines of builds with equal shares, counted: each is split over its grants once, however many
 * builds have it.
 */
const SHARED_LINES_SQL = `
  with scope as (${SCOPE}),
  shared as (
    select s.id, string_agg(g.grant_id || ' ' || g.share_ratio, ',' order by g.grant_id) as shares
    from scope s
      join build_grant_share g on g.organisation_id = s.organisation_id and g.build_id = s.id
    group by s.id
  ),
  numbered as (select id, shares, dense_rank() over (order by shares) as share_set from shared),
  share_set as (select distinct share_set, shares from numbered),
  counted as (
    select l.position, l.part, l.stage_code, l.material_id, l.unit_code, l.currency, l.is_in_kind,
      l.net_quantity, l.with_waste_quantity, l.amount, n.share_set, count(*) as build_count
    from numbered n
      join bill_line l on l.organisation_id = $1 and l.build_id = n.id
    group by l.position, l.part, l.stage_code, l.material_id, l.unit_code, l.currency, l.is_in_kind,
      l.net_quantity, l.with_waste_quantity, l.amount, n.share_set
  )
  select c.position, c.part, c.stage_code as "stageCode", c.material_id as "materialId",
    m.code as "materialCode", m.name as "materialName", m.category, c.unit_code as "unitCode",
    c.currency, c.is_in_kind as "isInKind", c.net_quantity as "netQuantity",
    c.with_waste_quantity as "withWasteQuantity", c.amount, s.shares, c.build_count as "buildCount"
  from counted c
    join share_set s on s.share_set = c.share_set
    join material m on m.organisation_id = $1 and m.id = c.material_id
  order by c.position, c.part, c.stage_code, m.code, c.currency, c.is_in_kind`;

const EXISTS_SQL = {
  buildId: 'select id from build where organisation_id = $1 and id = $2',
  villageId: 'select id from village where organisation_id = $1 and id = $2',
  grantId: 'select id from grant_agreement where organisation_id = $1 and id = $2',
  programmeId: 'select id from programme where organisation_id = $1 and id = $2',
} as const satisfies Record<keyof BillQuery, string>;

const CURRENCY_SQL = {
  buildId: `select p.currency from build b
    join programme p on p.organisation_id = b.organisation_id and p.id = b.programme_id
    where b.organisation_id = $1 and b.id = $2`,
  programmeId: 'select currency from programme where organisation_id = $1 and id = $2',
  grantId: `select p.currency from grant_agreement g
    join programme p on p.organisation_id = g.organisation_id and p.id = g.programme_id
    where g.organisation_id = $1 and g.id = $2`,
} as const;

/** One total of a part, stage and material; amounts and quantities are exact decimal text. */
export interface BillTotal {
  readonly part: string;
  readonly stageCode: string;
  readonly materialId: string;
  readonly materialCode: string;
  readonly materialName: string;
  readonly category: string;
  readonly unitCode: string;
  readonly currency: string;
  readonly isInKind: boolean;
  readonly netQuantity: string;
  readonly withWasteQuantity: string;
  readonly amount: string;
}

/** A line that a number of builds have alike, with the shares of those builds by grant id. */
export interface SharedLine extends BillTotal {
  readonly position: number;
  readonly shares: readonly (readonly [grantId: string, shareRatio: string])[];
  readonly buildCount: number;
}

interface SharedLineRow {
  readonly position: number;
  /** grant id, a space and its share, with commas between. */
  readonly shares: string;
  readonly buildCount: number;
}

const scopeOf = (tx: Tx, { buildId, villageId, programmeId, grantId }: BillQuery) => [
  tx.organisationId,
  buildId ?? null,
  villageId ?? null,
  programmeId ?? null,
  grantId ?? null,
];

const inWireDigits = <Row extends BillTotal>(row: Row): Row => ({
  ...row,
  netQuantity: quantityText(row.netQuantity),
  withWasteQuantity: quantityText(row.withWasteQuantity),
  amount: quantityText(row.amount),
});

/** Which of the named records does not exist; null when all do. */
export async function missingRecord(tx: Tx, query: BillQuery): Promise<keyof BillQuery | null> {
  for (const key of Object.keys(EXISTS_SQL) as (keyof BillQuery)[]) {
    const id = query[key];
    if (id === undefined) continue;
    const found = await tx.sql(EXISTS_SQL[key], [tx.organisationId, id]);
    if (found.length === 0) return key;
  }
  return null;
}

export async function countBuilds(tx: Tx, query: BillQuery): Promise<number> {
  const [row] = await tx.sql<{ count: number }>(COUNT_SQL, scopeOf(tx, query));
  return row?.count ?? 0;
}

export async function billTotals(tx: Tx, query: BillQuery): Promise<BillTotal[]> {
  return (await tx.sql<BillTotal>(TOTALS_SQL, scopeOf(tx, query))).map(inWireDigits);
}

export async function sharedLines(tx: Tx, query: BillQuery): Promise<SharedLine[]> {
  const rows = await tx.sql<BillTotal & SharedLineRow>(SHARED_LINES_SQL, scopeOf(tx, query));
  return rows.map((row) => ({
    ...inWireDigits(row),
    shares: row.shares.split(',').map((share): SharedLine['shares'][number] => {
      const [grantId = '', shareRatio = ''] = share.split(' ');
      return [grantId, shareRatio];
    }),
  }));
}

/** Currency of the build, programme or grant that is named, for a bill without any line. */
export async function currencyOf(tx: Tx, query: BillQuery): Promise<string | null> {
  for (const key of ['buildId', 'programmeId', 'grantId'] as const) {
    const id = query[key];
    if (id === undefined) continue;
    const [row] = await tx.sql<{ currency: string }>(CURRENCY_SQL[key], [tx.organisationId, id]);
    if (row) return row.currency;
  }
  return null;
}

type BillLineRow = Omit<BuildBill['lines'][number], 'amount'> & {
  readonly amount: string;
  readonly currency: string;
};

export interface BuildWithLines {
  readonly id: string;
  readonly code: string;
  readonly designRevisionId: string;
  readonly pricedOn: string;
  readonly currency: string;
  readonly capacityL: number;
  readonly lines: BuildBill['lines'];
}

export async function findBuildBill(tx: Tx, buildId: string): Promise<BuildWithLines | null> {
  const of = [tx.organisationId, buildId];
  const [build] = await tx.sql<Omit<BuildWithLines, 'lines'>>(BUILD_SQL, of);
  if (!build) return null;
  const rows = await tx.sql<BillLineRow>(LINES_SQL, of);
  const lines = rows.map(({ currency, amount, ...line }) => ({
    ...line,
    netQuantity: quantityText(line.netQuantity),
    wasteRatio: quantityText(line.wasteRatio),
    withWasteQuantity: quantityText(line.withWasteQuantity),
    unitRate: quantityText(line.unitRate),
    amount: moneyOf(amount, currency),
  }));
  return { ...build, lines };
}
