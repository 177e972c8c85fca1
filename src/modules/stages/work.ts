import type { BuildWork } from '../../../shared/contract/build-work.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

// A crew's head count is taken once a day: the largest of its records.
const STAGES_SQL = `
  select stage_code as "stageCode", sum(records)::int as "recordCount", sum(people)::int as "peopleDays",
    sum(hours) as "personHours", min(observed_on) as "firstOn", max(observed_on) as "lastOn"
  from (
    select stage_code, observed_on, count(*) as records, max(people_count) as people, sum(person_hours) as hours
    from stage_record where organisation_id = $1 and build_id = $2 and kind = 'work-recorded'
    group by stage_code, crew_id, observed_on) as day
  group by stage_code`;

const WHOLE_SQL = `
  select coalesce(sum(records), 0)::int as "recordCount", coalesce(sum(people), 0)::int as "peopleDays",
    coalesce(sum(hours), 0) as "personHours"
  from (
    select count(*) as records, max(people_count) as people, sum(person_hours) as hours
    from stage_record where organisation_id = $1 and build_id = $2 and kind = 'work-recorded'
    group by crew_id, observed_on) as day`;

const MATERIALS_SQL = `
  with used as (
    select r.stage_code, q."materialId" as material_id, sum(q.quantity) as quantity
    from stage_record r
      cross join lateral jsonb_to_recordset(r.quantities) as q ("materialId" uuid, quantity numeric)
    where r.organisation_id = $1 and r.build_id = $2 and r.kind = 'work-recorded'
    group by r.stage_code, q."materialId"),
  billed as (
    select stage_code, material_id, sum(net_quantity) as net, sum(with_waste_quantity) as with_waste
    from bill_line where organisation_id = $1 and build_id = $2 group by stage_code, material_id)
  select coalesce(u.stage_code, b.stage_code) as "stageCode", m.id as "materialId", m.code as "materialCode",
    m.name as "materialName", m.unit_code as "unitCode", coalesce(u.quantity, 0) as used, b.net,
    b.with_waste as "withWaste"
  from used u
    full join billed b on b.stage_code = u.stage_code and b.material_id = u.material_id
    join material m on m.organisation_id = $1 and m.id = coalesce(u.material_id, b.material_id)
  where m.category <> 'labour' or u.quantity is not null
  order by m.code`;

type Figures = Pick<BuildWork, 'recordCount' | 'peopleDays' | 'personHours'>;
type StageRow = Figures & { stageCode: string; firstOn: string; lastOn: string };
interface MaterialRow {
  stageCode: string;
  materialId: string;
  materialCode: string;
  materialName: string;
  unitCode: string;
  used: string;
  net: string | null;
  withWaste: string | null;
}

const textOrNull = (value: string | null) => (value === null ? null : quantityText(value));

/** What the work of a build took by its work records, beside its stage template and its bill. */
export async function workOfBuild(
  tx: Tx,
  buildId: string,
  template: StageTemplate,
): Promise<BuildWork> {
  const values = [tx.organisationId, buildId];
  const stages = await tx.sql<StageRow>(STAGES_SQL, values);
  const materials = await tx.sql<MaterialRow>(MATERIALS_SQL, values);
  const [whole] = await tx.sql<Figures>(WHOLE_SQL, values);
  if (!whole) throw new Error('The sums of a build came back empty');
  return {
    buildId,
    ...whole,
    personHours: quantityText(whole.personHours),
    stages: template.map(({ code, title, workDays, crewSize }) => {
      const done = stages.find(({ stageCode }) => stageCode === code);
      return {
        stageCode: code,
        title,
        recordCount: done?.recordCount ?? 0,
        peopleDays: done?.peopleDays ?? 0,
        personHours: quantityText(done?.personHours ?? '0'),
        plannedPeopleDays: workDays * crewSize,
        firstOn: done?.firstOn ?? null,
        lastOn: done?.lastOn ?? null,
        materials: materials
          .filter(({ stageCode }) => stageCode === code)
          .map(({ used, net, withWaste, stageCode, ...material }) => ({
            ...material,
            usedQuantity: quantityText(used),
            billNetQuantity: textOrNull(net),
            billWithWasteQuantity: textOrNull(withWaste),
          })),
      };
    }),
  };
}
