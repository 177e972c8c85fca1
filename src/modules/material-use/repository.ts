import type { BuildMaterials, MaterialConsumption } from '../../../shared/contract/material-use.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const BUILD_SQL = 'select code from build where organisation_id = $1 and id = $2';
const PROGRAMME_SQL = 'select id from programme where organisation_id = $1 and id = $2';

const OF_BUILD_SQL = `
  with need as (
    select material_id, sum(with_waste_quantity) as needed,
      (array_agg(offer_id order by position) filter (where offer_id is not null))[1] as offer_id
    from bill_line where organisation_id = $1 and build_id = $2 group by material_id),
  got as (
    select material_id, -coalesce(sum(quantity) filter (where kind = 'issue'), 0) as issued,
      coalesce(sum(quantity) filter (where kind = 'return'), 0) as returned
    from stock_entry where organisation_id = $1 and build_id = $2 and kind in ('issue', 'return')
    group by material_id)
  select m.id as "materialId", m.code as "materialCode", m.name as "materialName", m.category,
    m.unit_code as "unitCode", coalesce(n.needed, 0) as needed, coalesce(g.issued, 0) as issued,
    coalesce(g.returned, 0) as returned, o.pack_code as "packCode", o.pack_content as "packContent"
  from need n
    full join got g on g.material_id = n.material_id
    join material m on m.organisation_id = $1 and m.id = coalesce(n.material_id, g.material_id)
    left join offer o on o.organisation_id = $1 and o.id = n.offer_id
  where m.category <> 'labour'
  order by m.code limit 1000`;

export interface MaterialOfBuild
  extends Pick<
    BuildMaterials['materials'][number],
    'materialId' | 'materialCode' | 'materialName' | 'category' | 'unitCode'
  > {
  readonly needed: string;
  readonly issued: string;
  readonly returned: string;
  readonly packCode: string | null;
  readonly packContent: string | null;
}

// Of each build what it was issued and, beside it, its bill of the same material. Read build by build through
// indexes, so that fresh tables without statistics are no slower.
const USE_SQL = `
  select b.id as build_id, b.code as build_code, b.crew_id, b.handed_over_on, u.material_id, u.issued, u.returned,
    coalesce(n.net, 0) as net, coalesce(n.with_waste, 0) as with_waste
  from build b
    cross join lateral (
      select e.material_id, -coalesce(sum(e.quantity) filter (where e.kind = 'issue'), 0) as issued,
        coalesce(sum(e.quantity) filter (where e.kind = 'return'), 0) as returned
      from stock_entry e
      where e.organisation_id = b.organisation_id and e.build_id = b.id and e.kind in ('issue', 'return')
        and ($3::uuid is null or e.material_id = $3)
      group by e.material_id) u
    left join lateral (
      select sum(l.net_quantity) as net, sum(l.with_waste_quantity) as with_waste from bill_line l
      where l.organisation_id = b.organisation_id and l.build_id = b.id and l.material_id = u.material_id) n on true
  where b.organisation_id = $1 and b.programme_id = $2 and b.cancelled_on is null
    and ($4::uuid is null or b.crew_id = $4)
    and ($5::uuid is null or b.village_id = $5)
    and ($6::boolean is null or (b.handed_over_on is not null) = $6)`;

const MATERIAL_COLUMNS = `
  m.id as "materialId", m.code as "materialCode", m.name as "materialName", m.unit_code as "unitCode"`;

const SUMS = `
  count(*) as "buildCount", sum(u.net) as net, sum(u.with_waste) as bill, sum(u.issued) as issued,
  sum(u.returned) as returned`;

const NO_LEARNING = `0 as "learnedBuilds", 0 as "learnedNet", 0 as "learnedIssued", 0 as "learnedReturned"`;

const TELLS = `filter (where u.handed_over_on is not null and u.net > 0)`;

const GROUPS = {
  build: `
    select u.build_id as "buildId", u.build_code as "buildCode", u.crew_id as "crewId", c.code as "crewCode",
      ${MATERIAL_COLUMNS}, 1 as "buildCount", u.net, u.with_waste as bill, u.issued, u.returned, ${NO_LEARNING}
    from (${USE_SQL} and ($7::text is null or b.code >= $7)) u
      join material m on m.organisation_id = $1 and m.id = u.material_id
      left join crew c on c.organisation_id = $1 and c.id = u.crew_id
    where ($7::text is null or (u.build_code, m.code) > ($7, $8::text))
    order by u.build_code, m.code limit $9`,
  crew: `
    select null as "buildId", null as "buildCode", u.crew_id as "crewId", c.code as "crewCode", ${MATERIAL_COLUMNS},
      ${SUMS}, ${NO_LEARNING}
    from (${USE_SQL}) u
      join material m on m.organisation_id = $1 and m.id = u.material_id
      left join crew c on c.organisation_id = $1 and c.id = u.crew_id
    where ($7::text is null or (coalesce(c.code, ''), m.code) > ($7, $8::text))
    group by u.crew_id, c.code, m.id, m.code, m.name, m.unit_code
    order by coalesce(c.code, ''), m.code limit $9`,
  material: `
    select null as "buildId", null as "buildCode", null as "crewId", null as "crewCode", ${MATERIAL_COLUMNS}, ${SUMS},
      count(*) ${TELLS} as "learnedBuilds", coalesce(sum(u.net) ${TELLS}, 0) as "learnedNet",
      coalesce(sum(u.issued) ${TELLS}, 0) as "learnedIssued", coalesce(sum(u.returned) ${TELLS}, 0) as "learnedReturned"
    from (${USE_SQL}) u
      join material m on m.organisation_id = $1 and m.id = u.material_id
    where ($7::text is null or m.code > $8::text)
    group by m.id, m.code, m.name, m.unit_code
    order by m.code limit $9`,
} as const;

export interface UseRow
  extends Pick<
    MaterialConsumption,
    | 'buildId'
    | 'buildCode'
    | 'crewId'
    | 'crewCode'
    | 'materialId'
    | 'materialCode'
    | 'materialName'
    | 'unitCode'
    | 'buildCount'
  > {
  readonly net: string;
  readonly bill: string;
  readonly issued: string;
  readonly returned: string;
  readonly learnedBuilds: number;
  readonly learnedNet: string;
  readonly learnedIssued: string;
  readonly learnedReturned: string;
}

export interface UseFilter {
  readonly limit: number;
  readonly cursor?: string | undefined;
  readonly groupBy: keyof typeof GROUPS;
  readonly materialId?: string | undefined;
  readonly crewId?: string | undefined;
  readonly villageId?: string | undefined;
  readonly isHandedOver?: boolean | undefined;
}

export async function findBuildCode(tx: Tx, buildId: string): Promise<string | null> {
  const [row] = await tx.sql<{ code: string }>(BUILD_SQL, [tx.organisationId, buildId]);
  return row?.code ?? null;
}

export async function hasProgramme(tx: Tx, programmeId: string): Promise<boolean> {
  return (await tx.sql(PROGRAMME_SQL, [tx.organisationId, programmeId])).length > 0;
}

export async function materialsOfBuild(tx: Tx, buildId: string): Promise<MaterialOfBuild[]> {
  const rows = await tx.sql<MaterialOfBuild>(OF_BUILD_SQL, [tx.organisationId, buildId]);
  return rows.map((row) => ({
    ...row,
    needed: quantityText(row.needed),
    issued: quantityText(row.issued),
    returned: quantityText(row.returned),
    packContent: row.packContent && quantityText(row.packContent),
  }));
}

export async function listUse<Item>(
  tx: Tx,
  programmeId: string,
  { limit, cursor, ...filter }: UseFilter,
  toItem: (row: UseRow) => Item,
): Promise<Page<Item>> {
  const list = `material-consumption/${programmeId}?${JSON.stringify(filter)}`;
  const [group, materialCode] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<UseRow>(GROUPS[filter.groupBy], [
    tx.organisationId,
    programmeId,
    filter.materialId ?? null,
    filter.crewId ?? null,
    filter.villageId ?? null,
    filter.isHandedOver ?? null,
    group ?? null,
    materialCode ?? null,
    limit + 1,
  ]);
  return toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.buildCode ?? row.crewCode ?? '', row.materialCode],
    (row) =>
      toItem({
        ...row,
        net: quantityText(row.net),
        bill: quantityText(row.bill),
        issued: quantityText(row.issued),
        returned: quantityText(row.returned),
        learnedNet: quantityText(String(row.learnedNet)),
        learnedIssued: quantityText(String(row.learnedIssued)),
        learnedReturned: quantityText(String(row.learnedReturned)),
      }),
  );
}
